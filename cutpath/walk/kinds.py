"""Edges that can stand for each other: the same edge of panels of one pattern."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

import numpy as np

from cutpath.geometry.points import Floats
from cutpath.model import EdgeName
from cutpath.walk.sides import Side


def kinds_of(
    sides: Mapping[EdgeName, Side],
    reach: Callable[[float], float],
    is_same: Callable[[EdgeName, EdgeName], bool],
) -> dict[EdgeName, int]:
    """Give each edge a number, the same for those that ``is_same`` holds for.

    ``reach`` gives how far, mm, lengths and stations of such edges differ at most, by the longest
    edge. Only pairs whose sketches are that near are asked about, as there may be many.
    """
    names = list(sides)
    sketches = _sketches(sides)
    most = reach(max((side.length for side in sides.values()), default=0.0))
    heads: list[int] = []
    out: dict[EdgeName, int] = {}
    for row, name in enumerate(names):
        off = np.abs(sketches[heads] - sketches[row]).max(axis=1) if heads else np.zeros(0)
        near = (heads[k] for k in np.flatnonzero(off <= most))
        head = next((each for each in near if is_same(name, names[each])), row)
        if head == row:
            heads.append(row)
        out[name] = head
    return out


def _sketches(sides: Mapping[EdgeName, Side]) -> Floats:
    """Give numbers (n, 6) that are nearly equal where edges can stand for each other, mm."""
    of_panel: dict[str, list[Side]] = {}
    for name, side in sides.items():
        of_panel.setdefault(name.panel, []).append(side)
    whole = {panel: _mean(_stations(own)) for panel, own in of_panel.items()}
    rows = [
        [
            side.length,
            *(sides[neighbour].length for neighbour in side.neighbours),
            _mean(_stations([side])),
            _mean(_stations([sides[side.neighbours[1]]])),
            whole[name.panel],
        ]
        for name, side in sides.items()
    ]
    return np.array(rows, dtype=float).reshape(-1, 6)


def _stations(sides: Iterable[Side]) -> list[float]:
    return [mark.station for side in sides for mark in side.marks]


def _mean(stations: list[float]) -> float:
    return sum(stations) / len(stations) if stations else 0.0
