"""One panel on the seam sheet: its edges, marks and name."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from cutpath.geometry.chain import Chain, polyline
from cutpath.geometry.inclusion import Inclusion
from cutpath.geometry.measure import bounds, points_at_stations
from cutpath.geometry.points import Floats
from cutpath.geometry.room import Room
from cutpath.geometry.transform import Matrix, compose, moved_points, scaling, transformed
from cutpath.sheet.page import DOTTED, FINE, Letters, Page, Pen
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
    inner = "".join(
        _data(chain, laid.matrix) for chain in (*(loop.chain for loop in panel.inner), *panel.drawn)
    )
    if inner:
        page.path(inner, INNER)


def _data(chain: Chain, matrix: Matrix) -> str:
    return path_data(transformed(chain, compose(_UPSIDE, matrix)), 0.0)


def draw_name(page: Page, laid: Laid, outline: Chain, taken: Taken, near: Sequence[Box]) -> None:
    """Write the panel's name in its largest room, else below it, else above it.

    ``near`` are the boxes on this panel that are taken already.
    """
    name = printable(laid.panel.name)
    if laid.enlarged > 1:
        name += f" (drawn {laid.enlarged} times larger)"
    room = Room.inside(outline, [_frame(box) for box in near], 0.5)
    for size in _NAME_SIZES:
        text = shortened(name, _LONGEST_NAME, size, bold=True)
        wide = text_width(text, size, bold=True)
        found = room.place(wide, size, (0.0, np.pi / 2))
        if found is None:
            continue
        (x, y), angle = found
        box = box_about(x, y, wide, size) if angle == 0.0 else box_about(x, y, size, wide)
        if taken.is_free([box]):
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


def tick_places(laid: Laid) -> list[tuple[str, Floats, Floats]]:
    """Give each mark's name, its place on paper and the unit direction into the panel."""
    chains = {edge.name: edge.chain for edge in laid.panel.edges}
    turn = laid.matrix[:, :2] / np.sqrt(abs(np.linalg.det(laid.matrix[:, :2])))
    out = []
    for mark in laid.panel.marks:
        if mark.edge not in chains:
            continue
        points, along = points_at_stations(chains[mark.edge], np.array([mark.station]))
        (dx, dy) = (along @ turn.T)[0]
        out.append((mark.name, moved_points(points, laid.matrix)[0], np.array([dy, -dx])))
    return out


def draw_ticks(page: Page, laid: Laid) -> None:
    """Draw a tick across the net line, inwards, at each mark."""
    for _, at, inwards in tick_places(laid):
        tip = at + TICK * inwards
        page.line((float(at[0]), float(at[1])), (float(tip[0]), float(tip[1])), FINE)


def draw_mark_names(page: Page, laid: Laid, outline: Chain, taken: Taken) -> int:
    """Write the marks' names where there is room inside the panel; give how many found none."""
    inside = Inclusion(outline, FLAT)
    left_out = 0
    for name, at, inwards in tick_places(laid):
        text = shortened(name, 24.0, _MARK)
        if not text:
            continue
        wide = text_width(text, _MARK)
        support = abs(float(inwards[0])) * wide / 2 + abs(float(inwards[1])) * _MARK / 2
        for step in (0.4, 1.6):
            x, y = (at + (TICK + step + support) * inwards).tolist()
            box = box_about(x, y, wide, _MARK)
            corners = np.array([(cx, cy) for cx in (box[0], box[2]) for cy in (box[1], box[3])])
            if taken.is_free([box]) and inside.holds(corners).all():
                taken.take([box])
                page.centred_words(text, (x, y), Letters(_MARK))
                break
        else:
            left_out += 1
    return left_out
