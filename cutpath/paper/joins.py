"""Marks by which sheets are laid together: lozenges on the line where they meet."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain, line, polyline
from cutpath.geometry.points import Point
from cutpath.paper.page import Drawing, Line, Stroke, Words
from cutpath.paper.tiling import Spread, Tile

_HALF = 4.0
_BAR = 5.5
_SHARES = (0.2, 0.5, 0.8)
_SIZE = 2.6


def joins_of(spread: Spread, tile: Tile, numbers: dict[tuple[int, int], int]) -> Drawing:
    """Give the join lines and lozenges on one sheet, in pattern coordinates.

    Both sheets draw the same lozenge at the same place: laid one over the other against the light,
    or cut along the line, it closes to one shape. ``numbers`` are page numbers by column and row.
    """
    strokes: list[Stroke] = []
    words: list[Words] = []
    x0, y0 = tile.x, tile.y
    x1, y1 = x0 + spread.room[0], y0 + spread.room[1]
    for across, step in ((True, -1), (True, 1), (False, -1), (False, 1)):
        place = (tile.column + step, tile.row) if across else (tile.column, tile.row + step)
        if place not in numbers:
            continue
        low = min(tile.column, place[0]) if across else min(tile.row, place[1])
        at = spread.joint_x(low) if across else spread.joint_y(low)
        ends = ((at, y0), (at, y1)) if across else ((x0, at), (x1, at))
        strokes.append(Stroke(Line.JOIN, line(*ends)))
        for share in _SHARES:
            along = y0 + share * (y1 - y0) if across else x0 + share * (x1 - x0)
            middle = np.array((at, along) if across else (along, at))
            strokes += [Stroke(Line.FRAME, chain) for chain in _lozenge(middle, across=across)]
            words.append(_neighbour(middle, numbers[place], step, across=across))
    return Drawing(tuple(strokes), tuple(words))


def _lozenge(middle: Point, *, across: bool) -> tuple[Chain, Chain]:
    steps = np.array([(_HALF, 0), (0, _HALF), (-_HALF, 0), (0, -_HALF)])
    bar = np.array([_BAR, 0.0]) if across else np.array([0.0, _BAR])
    return polyline(middle + steps, closed=True), line(middle - bar, middle + bar)


def _neighbour(middle: Point, number: int, step: int, *, across: bool) -> Words:
    """Write the neighbour's number on this sheet's side of the join."""
    back = -step * 9.5
    at = middle + (np.array([back, 1.2]) if across else np.array([9.0, back * 0.55]))
    return Words(f"to {number}", at, _SIZE)
