"""The picture of one load on the bed: what is cut, drawn and drilled, and how the head travels.

Lines differ by weight and dash as well as by colour, so that a print without colour reads the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import svgwrite
from svgwrite.container import Group

from cutpath.geometry.chain import Chain, line
from cutpath.geometry.measure import bounds
from cutpath.model import Feature, Load, Role, Toolpath
from cutpath.sheet.svg_lines import number, path_data

_STEPS = (10, 20, 50, 100, 200, 500, 1000, 2000)


@dataclass(frozen=True, slots=True)
class _Style:
    """How one kind of line is drawn; ``weight`` and ``dash`` in thousandths of the picture."""

    words: str
    colour: str
    weight: float
    dash: tuple[float, ...] = ()


_STYLES = {
    "cut": _Style("cut line", "#111111", 2.0),
    "seal": _Style("cut and sealed by heat", "#a3341b", 3.2, (14, 4)),
    "notch": _Style("notch", "#b3261e", 2.6),
    "net": _Style("net (stitch) line", "#1f5fa8", 0.9, (9, 3, 1.5, 3)),
    "pen": _Style("pen", "#2a7a4b", 0.8),
    "drill": _Style("drill mark", "#7a3b9b", 1.4),
    "travel": _Style("travel, tool up", "#8a8a8a", 0.7, (1, 3)),
    "bed": _Style("edge of the bed", "#8a8a8a", 1.2, (12, 6)),
}
_KIND = {
    Feature.LINE: "pen",
    Feature.LETTERING: "pen",
    Feature.DRILL: "drill",
    Feature.NOTCH: "notch",
    Feature.INNER: "cut",
    Feature.SEAL: "seal",
    Feature.OUTLINE: "cut",
    Feature.CHECK: "pen",
    Feature.TEST: "cut",
}


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """What goes into one picture: the load, its ordered toolpaths, travel, and words to put on it.

    ``bed`` is its width and height in mm; all lines are in bed coordinates. Where the machine moves
    the cloth on they lie on it, as the bed counts at first; ``beds`` tell where the bed is then.
    """

    title: str
    notes: tuple[str, ...]
    bed: tuple[float, float]
    load: Load
    toolpaths: Sequence[Toolpath]
    travel: Sequence[Chain]
    beds: Sequence[tuple[float, float]] = ((0.0, 0.0),)


def draw_picture(picture: Picture) -> str:
    """Give the picture as SVG text, the same for the same input."""
    frame = _Frame.around(picture)
    drawing = svgwrite.Drawing(
        size=(f"{frame.print_width}mm", f"{frame.print_height}mm"),
        viewBox=" ".join(number(value) for value in frame.view),
        debug=False,
    )
    drawing.add(drawing.rect(frame.view[:2], frame.view[2:], fill="white"))
    drawing.set_desc(title=picture.title)
    _layer(drawing, frame, "bed", [*_edges(picture)], clip=True)
    _layer(drawing, frame, "travel", picture.travel, clip=True)
    _layer(drawing, frame, "net", [piece.net for piece in picture.load.pieces])
    for kind in ("pen", "cut", "seal", "notch"):
        chains = [path.chain for path in picture.toolpaths if _KIND[path.feature] == kind]
        _layer(drawing, frame, kind, chains)
    _drill_marks(drawing, frame, picture.toolpaths)
    _starts(drawing, frame, picture.toolpaths)
    drawing.add(_legend(drawing, frame, picture))
    return str(drawing.tostring()) + "\n"


@dataclass(frozen=True, slots=True)
class _Frame:
    """The part of the bed that is shown, and sizes that follow from it."""

    box: tuple[float, float, float, float]
    unit: float  # a thousandth of the longer side, mm on the bed
    band: float  # height of the words below

    @classmethod
    def around(cls, picture: Picture) -> _Frame:
        boxes = [bounds(piece.cut) for piece in picture.load.pieces]
        if not boxes:  # a test pattern is made of strokes alone
            boxes = [bounds(path.chain) for path in picture.toolpaths]
        boxes += [(0.0, 0.0, 0.0, 0.0)]
        low_x, low_y = (min(box[i] for box in boxes) for i in (0, 1))
        high_x, high_y = (max(box[i] for box in boxes) for i in (2, 3))
        unit = max(high_x - low_x, high_y - low_y, 100.0) / 1000
        margin = 25 * unit
        box = (low_x - margin, low_y - margin, high_x + margin, high_y + margin)
        lines = 3 + len(picture.notes)
        return cls(box, unit, band=(lines * 26 + 60) * unit)

    @property
    def top(self) -> float:
        return self.box[3]

    @property
    def view(self) -> tuple[float, float, float, float]:
        width, height = self.box[2] - self.box[0], self.box[3] - self.box[1]
        return self.box[0], 0.0, width, height + self.band

    @property
    def print_width(self) -> int:
        """Fits an A4 sheet turned the better way, 10 mm margins."""
        return 277 if self.view[2] >= self.view[3] else 190

    @property
    def print_height(self) -> float:
        return round(self.print_width * self.view[3] / self.view[2], 1)


def _edges(picture: Picture) -> Iterator[Chain]:
    """Give the four edges of the bed, wherever it lies."""
    width, height = picture.bed
    for x, y in picture.beds:
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        yield from (line(a, b) for a, b in pairwise([*corners, corners[0]]))


def _dash(style: _Style, unit: float) -> dict[str, str]:
    if not style.dash:
        return {}
    return {"stroke_dasharray": " ".join(number(part * unit) for part in style.dash)}


def _stroke(style: _Style, unit: float) -> dict[str, str]:
    return {
        "stroke": style.colour,
        "stroke_width": number(style.weight * unit),
        "fill": "none",
        "stroke_linejoin": "round",
        "stroke_linecap": "round",
        **_dash(style, unit),
    }


def _layer(
    drawing: svgwrite.Drawing,
    frame: _Frame,
    kind: str,
    chains: Sequence[Chain],
    *,
    clip: bool = False,
) -> None:
    if not chains:
        return
    group = drawing.g(id=kind, **_stroke(_STYLES[kind], frame.unit))
    data = "".join(path_data(chain, frame.top) for chain in chains)
    group.add(drawing.path(d=data))
    if clip:
        window = drawing.defs.add(drawing.clipPath(id=f"window-{kind}"))
        low_x, low_y, high_x, high_y = frame.box
        window.add(drawing.rect((low_x, 0), (high_x - low_x, high_y - low_y)))
        group["clip-path"] = f"url(#window-{kind})"
    drawing.add(group)


def _drill_marks(drawing: svgwrite.Drawing, frame: _Frame, toolpaths: Sequence[Toolpath]) -> None:
    marks = [path.chain.first for path in toolpaths if path.role is Role.DRILL]
    if not marks:
        return
    group = drawing.g(id="drill", **_stroke(_STYLES["drill"], frame.unit))
    size = 5 * frame.unit
    for x, y in marks:
        group.add(drawing.path(d=_drill_sign(float(x), frame.top - float(y), size)))
    drawing.add(group)


def _drill_sign(x: float, y: float, size: float) -> str:
    """Give a ring with a slanting stroke through it."""
    half = size * math.sqrt(0.5)
    return (
        f"M{number(x - size)} {number(y)}a{number(size)} {number(size)} 0 1 0 {number(2 * size)} 0"
        f"a{number(size)} {number(size)} 0 1 0 {number(-2 * size)} 0"
        f"M{number(x - half)} {number(y + half)}L{number(x + half)} {number(y - half)}"
    )


def _starts(drawing: svgwrite.Drawing, frame: _Frame, toolpaths: Sequence[Toolpath]) -> None:
    """Put a dot where the knife enters each outline."""
    group = drawing.g(id="starts", fill=_STYLES["cut"].colour)
    for path in toolpaths:
        if path.feature in {Feature.OUTLINE, Feature.INNER}:
            x, y = path.chain.first
            group.add(drawing.circle((number(x), number(frame.top - y)), number(3.5 * frame.unit)))
    drawing.add(group)


def _legend(drawing: svgwrite.Drawing, frame: _Frame, picture: Picture) -> Group:
    unit = frame.unit
    left = frame.box[0] + 25 * unit
    y = frame.top - frame.box[1] + 30 * unit
    group = drawing.g(
        id="legend", font_family="sans-serif", font_size=number(19 * unit), fill="#111111"
    )
    group.add(drawing.text(picture.title, (number(left), number(y)), font_weight="bold"))
    for note in picture.notes:
        y += 26 * unit
        group.add(drawing.text(note, (number(left), number(y))))
    y += 32 * unit
    _keys(drawing, group, frame, (left, y))
    _scale_bar(drawing, group, frame, y + 40 * unit)
    return group


def _keys(drawing: svgwrite.Drawing, group: Group, frame: _Frame, at: tuple[float, float]) -> None:
    unit, (left, y) = frame.unit, at
    step = (frame.box[2] - frame.box[0] - 50 * unit) / 4
    keys = [key for key in _STYLES if key != "bed"]
    for index, kind in enumerate(keys):
        style = _STYLES[kind]
        x, row = left + (index % 4) * step, y + (index // 4) * 26 * unit
        middle = row - 6 * unit
        if kind == "drill":
            sample = _drill_sign(x + 20 * unit, middle, 5 * unit)
        else:
            sample = f"M{number(x)} {number(middle)}H{number(x + 40 * unit)}"
        group.add(drawing.path(d=sample, **_stroke(style, unit)))
        group.add(
            drawing.text(
                style.words,
                (number(x + 48 * unit), number(row)),
                font_size=number(min(16 * unit, step / 11)),
            )
        )


def _scale_bar(drawing: svgwrite.Drawing, group: Group, frame: _Frame, y: float) -> None:
    unit = frame.unit
    size = max((step for step in _STEPS if step <= 300 * unit), default=_STEPS[0])
    right = frame.box[2] - 25 * unit
    tick = number(6 * unit)
    bar = f"M{number(right - size)} {number(y - 6 * unit)}v{tick}h{size}v-{tick}"
    group.add(drawing.path(d=bar, fill="none", stroke="#111111", stroke_width=number(1.4 * unit)))
    group.add(
        drawing.text(
            f"{size} mm",
            (number(right), number(y - 9 * unit)),
            text_anchor="end",
            font_size=number(15 * unit),
        )
    )
