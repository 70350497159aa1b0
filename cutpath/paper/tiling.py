"""Patterns to sheets: large ones tiled with few sheets and few joins, small ones together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.coverage import narrow_angle, windows_met
from cutpath.geometry.measure import bounds
from cutpath.geometry.points import Floats
from cutpath.geometry.transform import rotation, translation
from cutpath.paper.template import Template, moved

_SHIFTS = 7
_GAP = 6.0
_EDGE = 1.0
"""Room kept between a pattern and the rim of what is printed, mm: half a line and a little."""
Size = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Tile:
    """One sheet's window on the pattern, (x0, y0) its lower left corner; row 0 is the lowest."""

    column: int
    row: int
    x: float
    y: float


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """Patterns that lie together on one sheet, or one pattern over several.

    ``tiles`` that hold a part of it; ``room`` and ``step`` as in ``Sheet``, in mm of pattern.
    """

    templates: tuple[Template, ...]
    tiles: tuple[Tile, ...]
    room: Size
    step: Size
    origin: Size

    def joint_x(self, column: int) -> float:
        """Give where sheets of ``column`` and the next one meet: the middle of what they share."""
        return self.origin[0] + (column + 1) * self.step[0] + (self.room[0] - self.step[0]) / 2

    def joint_y(self, row: int) -> float:
        """Give where sheets of ``row`` and the next one up meet."""
        return self.origin[1] + (row + 1) * self.step[1] + (self.room[1] - self.step[1]) / 2


def spread_out(
    templates: Sequence[Template], room: Size, step: Size, *, apart: bool = False
) -> list[Spread]:
    """Lay templates on sheets, in their order: those that fit one sheet share it, unless ``apart``.

    ``room`` is what one sheet prints, ``step`` how far sheets lie apart.
    """
    small: list[Template] = []
    out: list[Spread] = []
    narrow: list[Template] = []
    for template in templates:
        turned = _fitting(template, room)
        if turned is None:
            upright = None if apart else _narrow(template, room)
            if upright is None:
                out.append(
                    _tiled([_turned(template, angle) for angle in _turns(template)], room, step)
                )
            else:
                narrow.append(upright)
        elif apart:
            out.append(_alone(turned, room, step))
        else:
            small.append(turned)
    out += [_tiled([bundle], room, step) for bundle in _bundles(narrow, room)]
    return out + _together(small, room, step)


def _turns(template: Template) -> tuple[float, ...]:
    return (0.0, math.pi / 2, *_narrow_turns(template))


def _narrow(template: Template, room: Size) -> Template | None:
    """Give a strip standing upright when two of its width fit side by side; else None."""
    for angle in _narrow_turns(template):
        turned = _turned(template, angle)
        _, _, width, height = bounds(turned.outline)
        if width <= (room[0] - 2 * _EDGE - _GAP) / 2 and height > width:
            return turned
    return None


def _bundles(strips: Sequence[Template], room: Size) -> list[tuple[Template, ...]]:
    """Stand strips side by side, as many as one sheet's width takes, the longest first."""
    sized = [(bounds(strip.outline), index) for index, strip in enumerate(strips)]
    order = sorted(sized, key=lambda item: (-item[0][3], item[1]))
    bundles: list[tuple[float, list[Template]]] = []
    for box, index in order:
        width = box[2] - box[0]
        for number, (filled, members) in enumerate(bundles):
            if filled + _GAP + width <= room[0] - 2 * _EDGE:
                members.append(moved(strips[index], translation(filled + _GAP, 0.0), 0.0))
                bundles[number] = (filled + _GAP + width, members)
                break
        else:
            bundles.append((width, [strips[index]]))
    return [tuple(members) for _, members in bundles]


def _fitting(template: Template, room: Size) -> Template | None:
    """Give the template turned so that it fits one sheet, lying as wide as it can; else None."""
    for angle in _turns(template):
        turned = _turned(template, angle)
        x0, y0, x1, y1 = bounds(turned.outline)
        if x1 - x0 <= room[0] - 2 * _EDGE and y1 - y0 <= room[1] - 2 * _EDGE:
            return turned
    return None


def _narrow_turns(template: Template) -> tuple[float, float]:
    along = -narrow_angle(template.outline)
    return along, along + math.pi / 2


def _turned(template: Template, angle: float) -> Template:
    """Turn a template, and put its lower left corner at (0, 0)."""
    turned = moved(template, rotation(angle), angle) if angle else template
    x0, y0, _, _ = bounds(turned.outline)
    return moved(turned, translation(-x0, -y0), 0.0)


def _alone(template: Template, room: Size, step: Size) -> Spread:
    return Spread((template,), (Tile(0, 0, -_EDGE, -_EDGE),), room, step, (-_EDGE, -_EDGE))


def _together(templates: Sequence[Template], room: Size, step: Size) -> list[Spread]:
    """Put small templates on shelves, the tallest first, on as few sheets as that takes."""
    sized = [(template, bounds(template.outline)) for template in templates]
    order = sorted(range(len(sized)), key=lambda i: (-sized[i][1][3], i))
    sheets: list[_Shelves] = []
    for index in order:
        template, box = sized[index]
        sheet = next((each for each in sheets if each.take(template, box)), None)
        if sheet is None:
            sheet = _Shelves(room)
            sheet.take(template, box)
            sheets.append(sheet)
    return [
        Spread(
            tuple(moved(t, translation(x, y), 0.0) for t, x, y in sheet.placed),
            (Tile(0, 0, 0.0, 0.0),), room, step, (0.0, 0.0),
        )
        for sheet in sheets
    ]  # fmt: skip


class _Shelves:
    """One sheet being filled from the lower left corner."""

    def __init__(self, room: Size) -> None:
        self.room = room
        self.shelves: list[list[float]] = []  # bottom, height, filled to
        self.placed: list[tuple[Template, float, float]] = []

    def take(self, template: Template, box: tuple[float, float, float, float]) -> bool:
        """Put the template where it still fits; tell whether it does."""
        width, height = box[2] - box[0], box[3] - box[1]
        for shelf in self.shelves:
            bottom, tall, filled = shelf
            if height <= tall and filled + width <= self.room[0] - _EDGE:
                self.placed.append((template, filled, bottom))
                shelf[2] = filled + width + _GAP
                return True
        bottom = self.shelves[-1][0] + self.shelves[-1][1] + _GAP if self.shelves else _EDGE
        if bottom + height > self.room[1] - _EDGE or width > self.room[0] - 2 * _EDGE:
            return False
        self.placed.append((template, _EDGE, bottom))
        self.shelves.append([bottom, height, _EDGE + width + _GAP])
        return True


def _tiled(ways: Sequence[Template | tuple[Template, ...]], room: Size, step: Size) -> Spread:
    """Tile a template, or some side by side, with the fewest sheets, then the fewest details cut.

    ``ways`` are the turns to choose from, each with its lower left corner at (0, 0).
    """
    best: tuple[tuple[int, int, int], Spread] | None = None
    for turn, way in enumerate(ways):
        group = way if isinstance(way, tuple) else (way,)
        boxes = [bounds(template.outline) for template in group]
        size = (max(box[2] for box in boxes), max(box[3] for box in boxes))
        for origin in _origins(size, room, step):
            spread = _cut_up(group, origin, size, room, step)
            rank = (len(spread.tiles), _details_cut(spread), turn)
            if best is None or rank < best[0]:
                best = (rank, spread)
    assert best is not None  # the first turn has an origin at least
    return best[1]


def _origins(size: Size, room: Size, step: Size) -> list[Size]:
    """Give lower left corners of the first sheet to try: all the slack, in equal steps."""
    ways = []
    for axis in (0, 1):
        whole = size[axis] + 2 * _EDGE
        count = max(1, math.ceil((whole - (room[axis] - step[axis])) / step[axis] - 1e-9))
        slack = (count - 1) * step[axis] + room[axis] - whole
        ways.append([-_EDGE - slack * k / (_SHIFTS - 1) for k in range(_SHIFTS)])
    return [(x, y) for x in ways[0] for y in ways[1]]


def _cut_up(
    group: tuple[Template, ...], origin: Size, size: Size, room: Size, step: Size
) -> Spread:
    counts = [
        max(1, math.ceil((size[axis] + _EDGE - origin[axis] - room[axis]) / step[axis] - 1e-9) + 1)
        for axis in (0, 1)
    ]
    places = [(c, r) for r in range(counts[1] - 1, -1, -1) for c in range(counts[0])]
    spread = Spread(group, (), room, step, origin)
    cells = np.array([_cell(spread, place, counts) for place in places])
    met = np.any([windows_met(template.outline, cells) for template in group], axis=0)
    tiles = tuple(
        Tile(c, r, origin[0] + c * step[0], origin[1] + r * step[1])
        for (c, r), is_met in zip(places, met, strict=True)
        if is_met
    )
    return Spread(group, tiles, room, step, origin)


def _cell(spread: Spread, place: tuple[int, int], counts: Sequence[int]) -> Floats:
    """Give what a sheet alone answers for: from join to join, or to its own rim."""
    column, row = place
    far_x = spread.origin[0] + column * spread.step[0] + spread.room[0]
    far_y = spread.origin[1] + row * spread.step[1] + spread.room[1]
    return np.array(
        [
            spread.joint_x(column - 1) if column else spread.origin[0],
            spread.joint_y(row - 1) if row else spread.origin[1],
            spread.joint_x(column) if column < counts[0] - 1 else far_x,
            spread.joint_y(row) if row < counts[1] - 1 else far_y,
        ]
    )


def _details_cut(spread: Spread) -> int:
    boxes = np.array([box for t in spread.templates for box in t.details]).reshape(-1, 4)
    columns = {tile.column for tile in spread.tiles}
    rows = {tile.row for tile in spread.tiles}
    cut = 0
    for column in columns:
        x = spread.joint_x(column)
        cut += int(np.count_nonzero((boxes[:, 0] < x) & (boxes[:, 2] > x)))
    for row in rows:
        y = spread.joint_y(row)
        cut += int(np.count_nonzero((boxes[:, 1] < y) & (boxes[:, 3] > y)))
    return cut
