"""One panel on the seam sheet: its edges, marks and name."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, opened, polyline
from cutpath.geometry.inclusion import Inclusion
from cutpath.geometry.measure import bounds, points_at_stations
from cutpath.geometry.points import Point
from cutpath.geometry.room import Room
from cutpath.geometry.transform import Matrix, compose, moved_points, scaling, transformed
from cutpath.sheet.page import DOTTED, FINE, Letters, Page, Pen, Place
from cutpath.sheet.panel_layout import Laid
from cutpath.sheet.seam_letters import FLAT
from cutpath.sheet.svg_lines import path_data
from cutpath.sheet.taken import Box, Taken, box_about
from cutpath.sheet.words import printable, shortened, text_width

SEWN = Pen(0.75)
FREE = Pen(0.22)
INNER = DOTTED
TICK = 1.5
_MARK = 2.1
_NAME_SIZES = (4.0, 3.2, 2.5)
_NOTE = 2.3
_LONGEST_NAME = 100.0
_UPSIDE = scaling(1.0, -1.0)


def draw_lines(page: Page, laid: Laid, sewn: Collection[str]) -> None:
    """Draw sewn edges heavy, free ones fine, and what is cut or drawn inside dotted."""
    panel = laid.panel
    for edge in panel.edges:
        page.path(_data(edge.chain, laid.matrix), SEWN if edge.name in sewn else FREE)
    inner = "".join(_data(chain, laid.matrix) for chain in inner_lines(laid))
    if inner:
        page.path(inner, INNER)


def inner_lines(laid: Laid) -> tuple[Chain, ...]:
    """Give what is cut or drawn inside the panel, in its own coordinates."""
    return (*(loop.chain for loop in laid.panel.inner), *laid.panel.drawn)


def _data(chain: Chain, matrix: Matrix) -> str:
    return path_data(transformed(chain, compose(_UPSIDE, matrix)), 0.0)


def draw_name(page: Page, laid: Laid, outline: Chain, taken: Taken) -> None:
    """Write the panel's name in its middle, else in its largest room, else below or above it."""
    name = printable(laid.panel.name)
    note = f"drawn {laid.enlarged} times larger" if laid.enlarged > 1 else ""
    # Lines inside the panel are not to be written over; the room they surround may be used.
    lines = [opened(transformed(chain, laid.matrix)) for chain in inner_lines(laid)]
    frames = [_frame(box) for box in taken.within(bounds(outline))]
    room = Room.inside(outline, [*frames, *lines], 0.5)
    left, top, right, bottom = bounds(outline)
    middle = np.array([[(left + right) / 2, (top + bottom) / 2]])
    room = Room(room.shape, np.concatenate([middle, room.spots]))
    for size in _NAME_SIZES:
        block = _Block(shortened(name, _LONGEST_NAME, size, bold=True), note, size)
        angles = (0.0,) if note else (0.0, np.pi / 2)
        found = room.place(block.width + 1.0, block.height + 1.0, angles)
        if found is not None:
            _write_name(page, block, found, taken)
            return
    size = _NAME_SIZES[-1]
    text = shortened(name, max(right - left + 8.0, 18.0), size, bold=True)
    _name_outside(page, _Block(text, note, size), (left, top, right, bottom), taken)


@dataclass(frozen=True, slots=True)
class _Block:
    """A name, and a note below it where there is one."""

    name: str
    note: str
    size: float

    @property
    def width(self) -> float:
        return max(text_width(self.name, self.size, bold=True), text_width(self.note, _NOTE))

    @property
    def height(self) -> float:
        return self.size + (1.2 * _NOTE if self.note else 0.0)


def _write_name(page: Page, block: _Block, place: tuple[Point, float], taken: Taken) -> None:
    (x, y), angle = (float(place[0][0]), float(place[0][1])), place[1]
    sides = (block.height, block.width) if angle else (block.width, block.height)
    taken.take([box_about(x, y, *sides)])
    turned = -90.0 if angle else 0.0
    name_y = y - (block.height - block.size) / 2
    page.centred_words(block.name, (x, name_y), Letters(block.size, bold=True, turned=turned))
    if block.note:
        page.centred_words(block.note, (x, y + (block.height - _NOTE) / 2), Letters(_NOTE))


def _name_outside(page: Page, block: _Block, around: Box, taken: Taken) -> None:
    """Write the name below the panel, or above it, or further below."""
    left, top, right, bottom = around
    x, half = (left + right) / 2, block.height / 2 + 1.2
    places = [np.array([x, y]) for y in (bottom + half, top - half, bottom + half + 3.0)]
    for place in places:
        if taken.is_free([box_about(x, float(place[1]), block.width, block.height)]):
            _write_name(page, block, (place, 0.0), taken)
            return
    _write_name(page, block, (places[0], 0.0), taken)


def _frame(box: Box) -> Chain:
    x0, y0, x1, y1 = box
    return polyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True)


@dataclass(frozen=True, slots=True)
class MarkLabel:
    """A mark on paper: its tick from ``at`` to ``tip``, its name, and boxes where that may stand.

    Without a name there are no boxes.
    """

    name: str
    at: Place
    tip: Place
    boxes: tuple[Box, ...]

    @property
    def wished(self) -> tuple[Box, ...]:
        """Give the boxes that this label would like to have: those of its tick and its name."""
        (x0, y0), (x1, y1) = self.at, self.tip
        tick = (min(x0, x1) - 0.3, min(y0, y1) - 0.3, max(x0, x1) + 0.3, max(y0, y1) + 0.3)
        return (tick, *self.boxes[:1])


def mark_labels(laid: Laid) -> list[MarkLabel]:
    """Give each mark of a panel as it would be labelled."""
    out = []
    for edge in laid.panel.edges:
        marks = [mark for mark in laid.panel.marks if mark.edge == edge.name]
        if not marks:
            continue
        stations = np.array([mark.station for mark in marks])
        points, tangents = points_at_stations(edge.chain, stations)
        places, along = moved_points(points, laid.matrix), laid.turned(tangents)
        for mark, (x, y), (dx, dy) in zip(marks, places.tolist(), along.tolist(), strict=True):
            # Panels run counter-clockwise: on paper, y down, inside is (dy, −dx).
            out.append(_mark_label(mark.name, (x, y), (dy, -dx)))
    return out


def _mark_label(words: str, at: Place, inwards: Place) -> MarkLabel:
    (x, y), (across, up) = at, inwards
    name = shortened(words, 24.0, _MARK)
    wide = text_width(name, _MARK)
    support = abs(across) * wide / 2 + abs(up) * _MARK / 2
    steps = [TICK + gap + support for gap in (0.4, 1.6)] if name else []
    boxes = [box_about(x + step * across, y + step * up, wide + 0.6, _MARK) for step in steps]
    return MarkLabel(name, at, (x + TICK * across, y + TICK * up), tuple(boxes))


def draw_ticks(page: Page, labels: Sequence[MarkLabel]) -> None:
    """Draw a tick from the net line inwards at each mark."""
    for label in labels:
        page.line(label.at, label.tip, FINE)


def draw_mark_names(page: Page, labels: Sequence[MarkLabel], outline: Chain, taken: Taken) -> int:
    """Write the marks' names where there is room inside the panel; give how many found none."""
    inside = Inclusion(outline, FLAT)
    left_out = 0
    for label in labels:
        box = next((box for box in label.boxes if _is_clear(box, inside, taken)), None)
        if box is None:
            left_out += bool(label.name)
            continue
        taken.take([box])
        middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        page.centred_words(label.name, middle, Letters(_MARK))
    return left_out


def _is_clear(box: Box, inside: Inclusion, taken: Taken) -> bool:
    corners = np.array([(x, y) for x in (box[0], box[2]) for y in (box[1], box[3])])
    return taken.is_free([box]) and bool(inside.holds(corners).all())
