"""A page as it is printed: strokes and words in mm of paper, y up from the lower left corner."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Point


class Line(StrEnum):
    """How a line is drawn; told apart by weight and dashes, not colour."""

    CUT = "cut"
    NET = "net"
    MARK = "mark"
    PEN = "pen"
    LETTERING = "lettering"
    JOIN = "join"
    FRAME = "frame"


STYLES: dict[Line, tuple[float, tuple[float, ...]]] = {
    Line.CUT: (0.5, ()),
    Line.NET: (0.25, (4.0, 2.0)),
    Line.MARK: (0.35, ()),
    Line.PEN: (0.25, (0.4, 1.6)),
    Line.LETTERING: (0.25, ()),
    Line.JOIN: (0.18, (1.2, 1.2)),
    Line.FRAME: (0.18, ()),
}
"""Weight and dashes, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """One line of the page."""

    line: Line
    chain: Chain


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """One line of words: ``at`` is the middle of its baseline, ``angle`` radians."""

    text: str
    at: Point
    size: float
    angle: float = 0.0
    bold: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """Strokes and words of a pattern or a page."""

    strokes: tuple[Stroke, ...] = ()
    words: tuple[Words, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """One sheet: ``pattern`` is clipped to the room inside the margins, ``frame`` is not.

    ``scale`` (across, up) makes up for a printer that prints too small or too large: all is drawn
    larger by it about the sheet's middle.
    """

    number: int
    title: str
    width: float
    height: float
    room: tuple[float, float, float, float]
    pattern: Drawing
    frame: Drawing
    scale: tuple[float, float] = (1.0, 1.0)
