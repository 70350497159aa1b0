"""Words on cloth in single strokes, as a pen draws them."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import cache

import numpy as np
from HersheyFonts import HersheyFonts

from cutpath.geometry.chain import Chain, polyline
from cutpath.geometry.points import Point

_CAPITALS = 21.0
"""Height of a capital in the font's own units (A. V. Hershey's simplex roman, 1967)."""
_LINE_STEP = 1.7
_ASCII = {"ß": "ss", "ø": "o", "Ø": "O", "æ": "ae", "Æ": "AE", "œ": "oe", "ł": "l", "Ł": "L",
          "đ": "d", "–": "-", "—": "-", "×": "x", "’": "'", "“": '"', "”": '"'}  # fmt: skip


@cache
def _font() -> HersheyFonts:
    font = HersheyFonts()
    font.load_default_font("futural")
    return font


def plain_letters(text: str) -> str:
    """Give ``text`` with the nearest letters that the font has (ASCII); others become '?'."""
    replaced = "".join(_ASCII.get(letter, letter) for letter in text)
    bare = unicodedata.normalize("NFKD", replaced)
    kept = (letter for letter in bare if not unicodedata.combining(letter))
    return "".join(letter if " " <= letter <= "~" else "?" for letter in kept)


@cache
def _strokes(text: str) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Give the strokes of one line in font units, baseline at 0, y up."""
    return tuple(
        tuple((float(x), 9.0 - float(y)) for x, y in stroke)
        for stroke in _font().strokes_for_text(plain_letters(text))
        if len(set(stroke)) > 1
    )


def text_size(lines: Sequence[str], height: float) -> tuple[float, float]:
    """Give width and height, mm, of ``lines`` whose capitals are ``height`` mm high."""
    scale = height / _CAPITALS
    ends = [x for text in lines for stroke in _strokes(text) for x, _ in stroke]
    return max(ends, default=0.0) * scale, height * (_LINE_STEP * (len(lines) - 1) + 1.3)


def lettered(lines: Sequence[str], height: float, center: Point, angle: float) -> tuple[Chain, ...]:
    """Write ``lines`` about ``center``, turned by ``angle`` radians, in the order of reading."""
    width, tall = text_size(lines, height)
    scale = height / _CAPITALS
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    chains = []
    for row, text in enumerate(lines):
        baseline = tall / 2 - height * (1.1 + _LINE_STEP * row)
        for stroke in _strokes(text):
            flat = np.array(stroke) * scale + (-width / 2, baseline)
            chains.append(polyline(flat @ turn.T + center))
    return tuple(chains)
