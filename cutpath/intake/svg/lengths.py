"""Lengths as CSS and SVG write them, in user units.

Source of the factors: CSS Values and Units Level 3, section 6.2 (1 in = 2.54 cm = 96 px = 72 pt
= 6 pc; 1 Q = 1/40 cm). A drawing may be told to have another number of px to the inch.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

PX_PER_INCH = 96.0
NUMBER = r"(?>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
"""A number is read as long as it goes (atomic): no pattern made of it may split one to fit."""
_LENGTH = re.compile(rf"\s*+({NUMBER})\s*+([a-zA-Z]*|%)\s*")
_PER_INCH = {"in": 1.0, "cm": 2.54, "mm": 25.4, "q": 101.6, "pt": 72.0, "pc": 6.0}
_FONT_SIZES = {
    "xx-small": 9.0, "x-small": 10.0, "small": 13.0, "medium": 16.0, "large": 18.0,
    "x-large": 24.0, "xx-large": 32.0, "smaller": 13.0, "larger": 19.2,
}  # fmt: skip
ROOT_FONT_SIZE = 16.0
LARGEST = 1e9
"""No number in a drawing is larger; it keeps all that is made of them finite."""


@dataclass(frozen=True, slots=True)
class Ruler:
    """What lengths are measured by at one place: px to the inch, the viewport, the font's size.

    ``width`` and ``height`` of the nearest viewport are None where nothing says them.
    """

    px_per_inch: float
    width: float | None
    height: float | None
    font_size: float = ROOT_FONT_SIZE

    def across(self, axis: str) -> float | None:
        """Give what 100 % means along ``axis``: ``x``, ``y`` or ``both`` (SVG 2, section 8.9)."""
        if axis == "x" or self.width is None:
            return self.width
        if axis == "y" or self.height is None:
            return self.height
        return math.hypot(self.width, self.height) / math.sqrt(2)


def quoted(text: str) -> str:
    """Give ``text`` in quotes, cut short where it is long, for a message."""
    words = " ".join(text.split())
    return f"'{words[:40]}…'" if len(words) > 41 else f"'{words}'"


def is_absolute(text: str) -> bool:
    """Tell whether a length says its size in the world: mm, cm, in, pt, pc, Q."""
    match = _LENGTH.fullmatch(text)
    return match is not None and match[2].lower() in _PER_INCH


def is_percentage(text: str) -> bool:
    """Tell whether a length is a share of something."""
    return text.strip().endswith("%")


def parse_css_length(text: str, ruler: Ruler, axis: str = "both") -> float:
    """Give a length in user units.

    Raises ValueError, with words for the user, when it is none or means nothing here.
    """
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise ValueError(f"{quoted(text)} is not a length")
    value, unit = float(match[1]), match[2].lower()
    if unit == "%":
        whole = ruler.across(axis)
        if whole is None:
            raise ValueError(f"{quoted(text)} is a share of a page whose size is not said")
        value *= whole / 100
    elif unit in _PER_INCH:
        value *= ruler.px_per_inch / _PER_INCH[unit]
    elif unit in {"em", "ex", "ch", "rem"}:
        size = ROOT_FONT_SIZE if unit == "rem" else ruler.font_size
        value *= size if unit in {"em", "rem"} else size / 2
    elif unit not in {"", "px"}:
        raise ValueError(f"{quoted(text)} has an unknown unit")
    if not abs(value) <= LARGEST:
        raise ValueError(f"{quoted(text)} is too large")
    return value


def font_size_in(text: str, ruler: Ruler) -> float:
    """Give a font's size in user units; what cannot be read leaves it as it was."""
    word = text.strip().lower()
    if word in _FONT_SIZES:
        return _FONT_SIZES[word]
    try:
        size = parse_css_length(f"{word[:-1]}em" if word.endswith("%") else word, ruler)
    except ValueError:
        return ruler.font_size
    return size / 100 if word.endswith("%") else size
