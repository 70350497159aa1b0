"""Strips along a run: what they take of each edge, and the seams and marks that join them."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from cutpath.model import EdgeName, Seam
from cutpath.parts.runs import Run

_CRUMB = 1e-3
_WHOLE = 1e-6
_NO_KINK = math.pi
"""A strip's end runs on into nothing, at whatever angle."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """What a strip takes of one edge, by stations along the run; ``name`` is the strip's own edge.

    ``index`` counts the run's edges; ``start`` is where that edge begins along the run.
    """

    index: int
    name: str
    begin: float
    end: float
    start: float


def pieces_of_run(run: Run, span: tuple[float, float], name: str) -> tuple[Stretch, ...]:
    """Cut ``span`` at the joints of a run's edges: ``name``, or "name 1" … where there are more."""
    bounds = list(itertools.pairwise([*run.starts, run.length]))
    found = [
        (index, max(low, span[0]), min(high, span[1]), low)
        for index, (low, high) in enumerate(bounds)
        if min(high, span[1]) - max(low, span[0]) > _CRUMB
    ]
    return tuple(
        Stretch(index, name if len(found) == 1 else f"{name} {number + 1}", *rest)
        for number, (index, *rest) in enumerate(found)
    )


def seams_along(run: Run, span: tuple[float, float], strip: str, name: str) -> tuple[Seam, ...]:
    """Give the seam of each edge with a strip whose edges ``name`` … run against the panel's."""
    parts = pieces_of_run(run, span, name)
    out = []
    for number, part in enumerate(parts):
        edge = run.edges[part.index]
        letter = strip if len(parts) == 1 else f"{strip} {number + 1}"
        begin, end = part.begin - part.start, part.end - part.start
        after = run.starts[part.index + 1] if part.index + 1 < len(run.starts) else run.length
        is_whole = part.begin - part.start < _WHOLE and after - part.end < _WHOLE
        own = None if is_whole else (begin, end)
        second = EdgeName(strip, part.name)
        out.append(Seam(letter, edge, second, kink_limit=_NO_KINK, span=own))
    return tuple(out)


def joined_along(run: Run, span: tuple[float, float]) -> list[tuple[str, float]]:
    """Give the panel's own marks inside ``span``: name and station along the run."""
    return [(name, at) for name, at in run.marks() if span[0] < at < span[1]]
