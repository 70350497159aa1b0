"""The tip against the line, magnified where it strays most.

Colours come with dashes and weights, so that a print without colour reads the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import svgwrite
from svgwrite.container import Group

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Point
from cutpath.sheet.svg_lines import number

_SIDE = 160.0
"""mm of paper, that the magnified square takes."""
_TIMES = 12.0
"""The square is so many times as wide as the tip strays."""
_LEAST = 2.0
_FLAT = 0.002
_BARS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class TipPicture:
    """What goes into the picture; all in machine coordinates, mm.

    ``asked`` are the lines, ``tip`` what is cut, ``holder`` where the file leads the tool when that
    is not its tip. ``offset`` is the tip's distance from its pivot, ``at`` the worst place.
    """

    title: str
    asked: Sequence[Chain]
    tip: Sequence[Chain]
    holder: Sequence[Chain]
    offset: float
    at: Point
    deviation: float
    tolerance: float


@dataclass(frozen=True, slots=True)
class _Line:
    words: str
    colour: str
    weight: float  # mm on paper
    dash: str = ""


_ASKED = _Line("line as asked", "#9aa7b5", 2.6)
_TIP = _Line("tip, as it cuts", "#111111", 0.6)
_HOLDER = _Line("pivot, as the file leads it", "#1f5fa8", 0.4, "2 1.2")
_ALLOWED = _Line("allowed about the worst place", "#b3261e", 0.4, "0.6 1")


def draw_tip_picture(picture: TipPicture) -> str:
    """Give the picture as SVG text, the same for the same input."""
    side = max(_TIMES * picture.deviation, 3 * picture.offset, 4 * picture.tolerance, _LEAST)
    x, y = picture.at.tolist()
    box = (x - side / 2, y - side / 2, x + side / 2, y + side / 2)
    scale = _SIDE / side
    notes = _notes(picture, scale)
    size = (_SIDE + 20, _SIDE + 46 + 6 * len(notes))
    drawing = svgwrite.Drawing(
        size=(f"{number(size[0])}mm", f"{number(size[1])}mm"),
        viewBox=f"0 0 {number(size[0])} {number(size[1])}",
        debug=False,
    )
    drawing.add(drawing.rect((0, 0), size, fill="white"))
    drawing.set_desc(title=picture.title)
    drawing.add(_text(drawing, picture.title, 10, 10, 5))
    frame = {"fill": "none", "stroke": "#8a8a8a", "stroke_width": 0.3}
    drawing.add(drawing.rect((10, 15), (_SIDE, _SIDE), **frame))
    for style, chains in (
        (_ASKED, picture.asked), (_HOLDER, picture.holder), (_TIP, picture.tip),
    ):  # fmt: skip
        drawing.add(_lines(drawing, style, chains, box, scale))
    middle = (10 + _SIDE / 2, 15 + _SIDE / 2)
    radius = number(picture.tolerance * scale)
    drawing.add(drawing.circle(middle, radius, fill="none", **_pen(_ALLOWED)))
    _legend(drawing, picture, notes)
    _bar(drawing, scale)
    return str(drawing.tostring()) + "\n"


def _notes(picture: TipPicture, scale: float) -> list[str]:
    x, y = picture.at.tolist()
    return [
        f"Largest distance {picture.deviation:.3f} mm, allowed {picture.tolerance:g} mm.",
        f"Near x {x:.1f}, y {y:.1f} mm of the machine; {scale:.0f} times as large.",
    ]


def _lines(
    drawing: svgwrite.Drawing, style: _Line, chains: Sequence[Chain], box: Box, scale: float
) -> Group:
    group = drawing.g(fill="none", stroke_linejoin="round", **_pen(style))
    for chain in chains:
        for run in _inside(flatten(chain, _FLAT / max(scale, 1.0) * 10).points, chain.closed, box):
            places = [(10 + (px - box[0]) * scale, 15 + (box[3] - py) * scale) for px, py in run]
            data = "L".join(f"{number(px)} {number(py)}" for px, py in places)
            group.add(drawing.path(d=f"M{data}"))
    return group


def _inside(points: Point, is_closed: bool, box: Box) -> list[list[tuple[float, float]]]:
    """Give the runs of a polyline inside ``box``, cut at its sides (Liang and Barsky, 1984)."""
    if is_closed:
        points = np.concatenate([points, points[:1]])
    low, high = np.array(box[:2]), np.array(box[2:])
    start, end = points[:-1], points[1:]
    near = (np.minimum(start, end) <= high).all(axis=1) & (np.maximum(start, end) >= low).all(
        axis=1
    )
    runs: list[list[tuple[float, float]]] = []
    for row in np.flatnonzero(near).tolist():
        a, way = start[row], end[row] - start[row]
        with np.errstate(divide="ignore", invalid="ignore"):
            sides = np.stack([(low - a) / way, (high - a) / way])
        sides = np.where(way == 0, np.array([[-np.inf], [np.inf]]), sides)
        first = max(0.0, float(sides.min(axis=0).max()))
        last = min(1.0, float(sides.max(axis=0).min()))
        if first > last:
            continue
        p, q = a + first * way, a + last * way
        here, there = (float(p[0]), float(p[1])), (float(q[0]), float(q[1]))
        if runs and runs[-1][-1] == here:
            runs[-1].append(there)
        else:
            runs.append([here, there])
    return runs


def _pen(style: _Line) -> dict[str, str]:
    dash = {"stroke_dasharray": style.dash} if style.dash else {}
    return {"stroke": style.colour, "stroke_width": number(style.weight), **dash}


def _text(
    drawing: svgwrite.Drawing, words: str, x: float, y: float, height: float
) -> svgwrite.text.Text:
    return drawing.text(words, (number(x), number(y)), font_size=height, font_family="sans-serif")


def _legend(drawing: svgwrite.Drawing, picture: TipPicture, notes: list[str]) -> None:
    styles = [_ASKED, _TIP, *([_HOLDER] if picture.holder else []), _ALLOWED]
    for index, style in enumerate(styles):
        x, y = 10 + (index % 2) * 80, 15 + _SIDE + 8 + (index // 2) * 6
        drawing.add(drawing.line((x, y - 1.2), (x + 10, y - 1.2), **_pen(style)))
        drawing.add(_text(drawing, style.words, x + 13, y, 4))
    for index, note in enumerate(notes):
        drawing.add(_text(drawing, note, 10, 15 + _SIDE + 24 + 6 * index, 3.6))


def _bar(drawing: svgwrite.Drawing, scale: float) -> None:
    size = max((bar for bar in _BARS if bar * scale <= _SIDE / 3), default=_BARS[0])
    x, y = 10 + _SIDE - 4, 15 + _SIDE - 4
    drawing.add(drawing.line((x - size * scale, y), (x, y), stroke="black", stroke_width=0.8))
    drawing.add(
        drawing.text(
            f"{size:g} mm", (number(x), number(y - 2)), font_size=4, font_family="sans-serif",
            text_anchor="end",
        )
    )  # fmt: skip
