"""Pieces longer than the bed: what of them is cut in one frame, and marks that join the frames."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain, line
from cutpath.geometry.levels import parts_between
from cutpath.geometry.measure import length
from cutpath.geometry.points import Point
from cutpath.model import Feature, Role, Toolpath

REGISTER = "register mark"
"""What toolpaths of marks are said to serve."""
_CROSS = 6.0


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """What of one piece is cut: from ``low`` to ``high`` along the cloth's run, bed mm.

    Lines run on by ``overlap`` beyond where the frame before ended; what is a mark is made once.
    """

    low: float
    high: float
    overlap: float


@dataclass(frozen=True, slots=True, eq=False)
class Continuation:
    """How a frame goes on from the one before: the cloth's run, spans of pieces, marks' places."""

    run: Point
    spans: Mapping[str, Span]
    marks: tuple[Point, ...]


def continued(
    toolpaths: Sequence[Toolpath], how: Continuation, *, with_pen: bool
) -> tuple[Toolpath, ...]:
    """Give the toolpaths of one frame, in the order given, pieces of spans cut off at their ends.

    Register marks come first, for the pen; without one there are none.
    """
    out: list[Toolpath] = []
    if with_pen:
        out += [
            Toolpath(Role.PEN, Feature.LINE, REGISTER, stroke)
            for xy in how.marks
            for stroke in _cross(xy)
        ]
    for path in toolpaths:
        span = how.spans.get(path.piece)
        if span is None:
            out.append(path)
            continue
        runs_on = path.feature in {Feature.OUTLINE, Feature.INNER, Feature.LINE}
        low = span.low - (span.overlap if runs_on and length(path.chain) > span.overlap else 0.0)
        parts = parts_between(path.chain, how.run, low, span.high)
        out += [replace(path, chain=part) for part in parts]
    return tuple(out)


def _cross(xy: Point) -> tuple[Chain, Chain]:
    across, up = np.array([_CROSS, 0.0]), np.array([0.0, _CROSS])
    return line(xy - across, xy + across), line(xy - up, xy + up)
