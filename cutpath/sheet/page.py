"""A printed page, in millimetres of paper: lines and words told apart without colour."""

from __future__ import annotations

import math
from dataclasses import dataclass

import svgwrite
from svgwrite.container import Group

from cutpath.sheet.svg_lines import number
from cutpath.sheet.words import printable, text_width

BLACK = "#111111"
GREY = "#666666"
Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn; ``weight`` and ``dash`` in mm."""

    weight: float
    dash: tuple[float, ...] = ()
    colour: str = BLACK


HAIR = Pen(0.13, colour=GREY)
FINE = Pen(0.2)
DOTTED = Pen(0.22, (0.25, 0.9))
DASHED = Pen(0.25, (1.6, 1.0))
EDGE = Pen(0.5)
HEAVY = Pen(1.2)


@dataclass(frozen=True, slots=True)
class Letters:
    """How words are set: ``size`` mm, ``anchor`` start, middle or end, ``turned`` degrees.

    ``turned`` is clockwise on paper, so that −90 reads upwards.
    """

    size: float = 2.7
    bold: bool = False
    anchor: str = "start"
    turned: float = 0.0
    colour: str = BLACK


class Page:
    """An SVG page of ``width`` × ``height`` mm whose user unit is 1 mm, y down."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self.width, self.height = width, height
        self._drawing = svgwrite.Drawing(
            size=(f"{number(width)}mm", f"{number(height)}mm"),
            viewBox=f"0 0 {number(width)} {number(height)}",
            debug=False,
            font_family="sans-serif",
            fill=BLACK,
        )
        self._drawing.set_desc(title=printable(title))
        paper = (number(width), number(height))
        self._drawing.add(self._drawing.rect((0, 0), paper, fill="white"))
        self._into: Group = self._drawing

    def layer(self, name: str) -> None:
        """Draw from now on into a new group of this name."""
        self._into = self._drawing.add(self._drawing.g(id=name))

    def line(self, start: Place, end: Place, pen: Pen) -> None:
        """Draw a straight line."""
        ends = [(number(x), number(y)) for x, y in (start, end)]
        self._into.add(self._drawing.line(*ends, **_stroke(pen)))

    def path(self, data: str, pen: Pen, fill: str = "none") -> None:
        """Draw path data."""
        self._into.add(self._drawing.path(d=data, fill=fill, **_stroke(pen)))

    def filled(self, data: str, fill: str = BLACK) -> None:
        """Fill path data without a line around it."""
        self._into.add(self._drawing.path(d=data, fill=fill))

    def box(self, corner: Place, size: Place, pen: Pen | None, fill: str = "none") -> None:
        """Draw an upright rectangle from its top left corner, without a line for no pen."""
        place, sides = ((number(x), number(y)) for x, y in (corner, size))
        style = _stroke(pen) if pen else {}
        self._into.add(self._drawing.rect(place, sides, fill=fill, **style))

    def ring(self, middle: Place, radius: float, pen: Pen, fill: str = "white") -> None:
        """Draw a circle."""
        place = (number(middle[0]), number(middle[1]))
        self._into.add(self._drawing.circle(place, number(radius), fill=fill, **_stroke(pen)))

    def words(self, text: str, at: Place, letters: Letters) -> None:
        """Set one line of words with its baseline from ``at``."""
        x, y = number(at[0]), number(at[1])
        style = {"font_size": number(letters.size)}
        if letters.bold:
            style["font_weight"] = "bold"
        if letters.anchor != "start":
            style["text_anchor"] = letters.anchor
        if letters.colour != BLACK:
            style["fill"] = letters.colour
        if letters.turned:
            style["transform"] = f"rotate({number(letters.turned)} {x} {y})"
        self._into.add(self._drawing.text(printable(text), (x, y), **style))

    def backed_words(self, text: str, at: Place, letters: Letters) -> None:
        """Set words centred on ``at`` on white, so that lines beneath don't cross them."""
        width = text_width(text, letters.size, bold=letters.bold)
        height = letters.size * 1.1
        sides = (height, width) if letters.turned else (width, height)
        self.box((at[0] - sides[0] / 2, at[1] - sides[1] / 2), sides, None, "white")
        self.centred_words(text, at, letters)

    def centred_words(self, text: str, at: Place, letters: Letters) -> None:
        """Set words whose middle, across too, is ``at``."""
        # Figures and capitals stand about 0.72 of the size above their baseline.
        angle = math.radians(letters.turned)
        drop = 0.36 * letters.size
        base = (at[0] - drop * math.sin(angle), at[1] + drop * math.cos(angle))
        middle = Letters(letters.size, letters.bold, "middle", letters.turned, letters.colour)
        self.words(text, base, middle)

    def flag(self, text: str, at: Place, size: float) -> None:
        """Set a word centred on ``at`` in white on black."""
        width = text_width(text, size, bold=True) + 0.7 * size
        height = 1.35 * size
        self.box((at[0] - width / 2, at[1] - height / 2), (width, height), None, BLACK)
        self.centred_words(text, at, Letters(size, bold=True, colour="white"))

    def text(self) -> str:
        """Give the page as SVG text."""
        return str(self._drawing.tostring()) + "\n"


def flag_width(text: str, size: float) -> float:
    """Give the width of a flag's box."""
    return text_width(text, size, bold=True) + 0.7 * size


def arrow_head(tip: Place, towards: Place, size: float) -> str:
    """Give path data of a slim filled arrowhead at ``tip``; ``towards`` is a unit direction."""
    (x, y), (dx, dy) = tip, towards
    back_x, back_y = x - dx * size, y - dy * size
    side_x, side_y = -dy * size * 0.32, dx * size * 0.32
    return (
        f"M{number(x)} {number(y)}L{number(back_x + side_x)} {number(back_y + side_y)}"
        f"L{number(back_x - side_x)} {number(back_y - side_y)}Z"
    )


def _stroke(pen: Pen) -> dict[str, str]:
    style = {"stroke": pen.colour, "stroke_width": number(pen.weight)}
    if pen.dash:
        style["stroke_dasharray"] = " ".join(number(part) for part in pen.dash)
    return style
