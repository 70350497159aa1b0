"""One panel on the seam sheet: its edges, marks and name."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, opened, polyline
from cutpath.geometry.inclusion import Inclusion
from cutpath.geometry.measure import bounds, points_at_stations
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
_LONGEST_NAME = 60.0
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
    if laid.enlarged > 1:
        name += f" (drawn {laid.enlarged} times larger)"
    # Lines inside the panel are not to be written over; the room they surround may be used.
    lines = [opened(transformed(chain, laid.matrix)) for chain in inner_lines(laid)]
    frames = [_frame(box) for box in taken.within(bounds(outline))]
    room = Room.inside(outline, [*frames, *lines], 0.5)
    for size in _NAME_SIZES:
        text = shortened(name, _LONGEST_NAME, size, bold=True)
        wide = text_width(text, size, bold=True)
        found = room.place(wide + 1.0, size + 1.0, (0.0, np.pi / 2))
        if found is None:
            continue
        (x, y), angle = found
        box = box_about(x, y, wide, size) if angle == 0.0 else box_about(x, y, size, wide)
        taken.take([box])
        turned = -90.0 if angle else 0.0
        page.centred_words(text, (x, y), Letters(size, bold=True, turned=turned))
        return
    _name_outside(page, name, outline, taken)


def _name_outside(page: Page, name: str, outline: Chain, taken: Taken) -> None:
    size = _NAME_SIZES[-1]
    left, top, right, bottom = bounds(outline)
    text = shortened(name, max(right - left + 8.0, 18.0), size, bold=True)
    wide, x = text_width(text, size, bold=True), (left + right) / 2
    boxes = [box_about(x, y, wide, size) for y in (bottom + 2.6, top - 2.6, bottom + 5.4)]
    box = next((box for box in boxes if taken.is_free([box])), boxes[0])
    taken.take([box])
    at = (x, (box[1] + box[3]) / 2)
    page.backed_words(text, at, Letters(size, bold=True))


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


def mark_labels(laid: Laid) -> list[MarkLabel]:
    """Give each mark of a panel as it would be labelled."""
    chains = {edge.name: edge.chain for edge in laid.panel.edges}
    turn = laid.matrix[:, :2] / np.sqrt(abs(np.linalg.det(laid.matrix[:, :2])))
    out = []
    for mark in laid.panel.marks:
        points, along = points_at_stations(chains[mark.edge], np.array([mark.station]))
        (dx, dy) = (along @ turn.T)[0].tolist()
        (x, y) = moved_points(points, laid.matrix)[0].tolist()
        out.append(_mark_label(mark.name, (x, y), (dy, -dx)))
    return out


def _mark_label(words: str, at: Place, inwards: Place) -> MarkLabel:
    (x, y), (across, up) = at, inwards
    name = shortened(words, 24.0, _MARK)
    wide = text_width(name, _MARK)
    support = abs(across) * wide / 2 + abs(up) * _MARK / 2
    steps = [TICK + gap + support for gap in (0.4, 1.6)] if name else []
    boxes = [box_about(x + step * across, y + step * up, wide, _MARK) for step in steps]
    return MarkLabel(name, at, (x + TICK * across, y + TICK * up), tuple(boxes))


def draw_ticks(page: Page, laid: Laid) -> None:
    """Draw a tick from the net line inwards at each mark."""
    for label in mark_labels(laid):
        page.line(label.at, label.tip, FINE)


def draw_mark_names(page: Page, laid: Laid, outline: Chain, taken: Taken) -> int:
    """Write the marks' names where there is room inside the panel; give how many found none."""
    inside = Inclusion(outline, FLAT)
    left_out = 0
    for label in mark_labels(laid):
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
