"""Where the panels of a job lie on a sheet of paper: as drawn, or in rows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import bounds
from cutpath.geometry.points import Floats
from cutpath.geometry.room import too_close
from cutpath.geometry.transform import Matrix, compose, scaling, translation
from cutpath.model import Panel

_GUTTER = 11.0
"""Paper kept free between panels, mm: room for a letter or a name that must stand outside."""
_SMALLEST = 20.0
"""The longer side of a panel in rows, mm of paper; smaller ones are drawn larger than the rest."""
_SMALLEST_AS_DRAWN = 10.0
_LOSS = 0.6
"""The drawn places are kept while panels come out no smaller than this share of what rows give."""
_HALVINGS = 40


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A panel on paper: ``matrix`` takes its coordinates to mm of paper, y down.

    ``enlarged`` is how many times larger it is drawn than the sheet's scale says.
    """

    panel: Panel
    outline: Chain
    matrix: Matrix
    enlarged: int

    def turned(self, directions: Floats) -> Floats:
        """Give unit directions (n, 2) of the panel as they are on paper."""
        return directions * [1.0, -1.0]


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """All panels, and paper per cloth."""

    laid: tuple[Laid, ...]
    scale: float
    is_as_drawn: bool


@dataclass(frozen=True, slots=True)
class Area:
    """A part of the page, mm: left, top, width, height."""

    left: float
    top: float
    width: float
    height: float


def lay_out(panels: Sequence[Panel], area: Area, *, may_keep: bool = True) -> Layout:
    """Lay ``panels`` in ``area``.

    With ``may_keep`` the places of the drawing are kept, unless panels overlap there, or it is so
    wide that they would come out much smaller than in rows.
    """
    outlines = [panel.outline for panel in panels]
    boxes = np.array([bounds(outline) for outline in outlines]).reshape(-1, 4)
    rows = _in_rows(boxes, area)
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    span = np.maximum(high - low, 1e-9)
    inner = (area.width - 2 * _GUTTER, area.height - 2 * _GUTTER)
    kept = rounded_down(float(min(inner[0] / span[0], inner[1] / span[1])))
    sides = (boxes[:, 2:] - boxes[:, :2]).max(axis=1)
    is_fine = (
        may_keep and kept * float(sides.min()) >= _SMALLEST_AS_DRAWN and kept >= _LOSS * rows.scale
    )
    if may_keep and is_fine and too_close(outlines, [()] * len(outlines), 0.0) is None:
        corner = np.array([area.left + area.width / 2, area.top + area.height / 2])
        corner += kept * np.array([-1.0, 1.0]) * (low + high) / 2
        matrix = compose(translation(*corner), scaling(kept, -kept))
        laid = [
            Laid(panel, outline, matrix, 1) for panel, outline in zip(panels, outlines, strict=True)
        ]
        return Layout(tuple(laid), kept, is_as_drawn=True)
    laid = []
    for panel, outline, box, place, size in zip(
        panels, outlines, boxes, rows.corners, rows.enlarged, strict=True
    ):
        own = rows.scale * size
        matrix = compose(translation(*place), scaling(own, -own), translation(-box[0], -box[3]))
        laid.append(Laid(panel, outline, matrix, size))
    return Layout(tuple(laid), rows.scale, is_as_drawn=False)


@dataclass(frozen=True, slots=True)
class _Rows:
    """Top left corners on paper, factors, and the common scale."""

    corners: list[tuple[float, float]]
    enlarged: list[int]
    scale: float


def _in_rows(boxes: Floats, area: Area) -> _Rows:
    """Pack boxes in rows, tallest first, at the largest scale at which all rows fit."""
    sizes = np.maximum(boxes[:, 2:] - boxes[:, :2], 1e-6)
    high = float(min(area.width / sizes[:, 0].max(), area.height / sizes[:, 1].max()))
    low = 0.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        cells, _ = _cells(sizes, middle)
        rows = _rows(cells, area.width)
        fits = cells[:, 0].max() <= area.width and _height(cells, rows) <= area.height
        low, high = (middle, high) if fits else (low, middle)
    scale = rounded_down(low if low > 0 else high)
    cells, enlarged = _cells(sizes, scale)
    return _Rows(_corners(cells, _rows(cells, area.width), area), enlarged, scale)


def rounded_down(scale: float) -> float:
    """Give the next smaller scale, paper per cloth, that two figures write: 1 : 12, or 2.5 : 1."""
    many = scale if scale >= 1 else 1 / scale
    step: float = 10.0 ** (math.floor(math.log10(many)) - 1)
    if scale >= 1:
        return math.floor(many / step + 1e-9) * step
    return 1 / (math.ceil(many / step - 1e-9) * step)


def _cells(sizes: Floats, scale: float) -> tuple[Floats, list[int]]:
    """Give each panel's room on paper, (n, 2), and how many times it is enlarged."""
    factors = [_round_up(_SMALLEST / (scale * side)) for side in sizes.max(axis=1).tolist()]
    return sizes * scale * np.array(factors)[:, None] + _GUTTER, factors


def _round_up(factor: float) -> int:
    """Give the next of 1, 2, 5, 10, 20 … that is not below ``factor``."""
    if factor <= 1:
        return 1
    power: int = 10 ** math.floor(math.log10(factor))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= factor * (1 - 1e-9))


def _rows(cells: Floats, width: float) -> list[list[int]]:
    rows: list[list[int]] = []
    used = math.inf
    for index in sorted(range(len(cells)), key=lambda index: (-float(cells[index, 1]), index)):
        wide = float(cells[index, 0])
        if used + wide > width:
            rows.append([])
            used = 0.0
        rows[-1].append(index)
        used += wide
    return rows


def _height(cells: Floats, rows: list[list[int]]) -> float:
    return float(sum(cells[row, 1].max() for row in rows))


def _corners(cells: Floats, rows: list[list[int]], area: Area) -> list[tuple[float, float]]:
    """Share out what is left over between the rows, and centre each panel in its cell."""
    corners = [(0.0, 0.0)] * len(cells)
    spare = max(area.height - _height(cells, rows), 0.0) / (len(rows) + 1)
    y = area.top + spare
    for row in rows:
        tall = float(cells[row, 1].max())
        between = max(area.width - float(cells[row, 0].sum()), 0.0) / (len(row) + 1)
        x = area.left + between
        for index in row:
            wide, high = cells[index].tolist()
            corners[index] = (x + _GUTTER / 2, y + (tall - high) / 2 + _GUTTER / 2)
            x += wide + between
        y += tall + spare
    return corners
