"""Words on cloth in single strokes, as a pen draws them."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import cache

import numpy as np
from HersheyFonts import HersheyFonts

from cutpath.geometry.chain import Chain, stroked
from cutpath.geometry.points import Floats, Point

_CAPITALS = 21.0
"""Height of a capital in the font's own units (A. V. Hershey's simplex roman, 1967)."""
_LINE_STEP = 1.7
_ASCII = {"ß": "ss", "ø": "o", "Ø": "O", "æ": "ae", "Æ": "AE", "œ": "oe", "ł": "l", "Ł": "L",
          "đ": "d",
          "⁄": "/", "–": "-", "—": "-", "×": "x", "’": "'", "“": '"', "”": '"'}  # fmt: skip


@cache
def _font() -> HersheyFonts:
    font = HersheyFonts()
    font.load_default_font("futural")
    return font


def plain_letters(text: str) -> str:
    """Give ``text`` with the nearest letters that the font has (ASCII); others become '?'."""
    bare = unicodedata.normalize("NFKD", text)
    replaced = "".join(_ASCII.get(letter, letter) for letter in bare)
    kept = (letter for letter in replaced if not unicodedata.combining(letter))
    return "".join(letter if " " <= letter <= "~" else "?" for letter in kept)


@cache
def _strokes(text: str) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Give the strokes of one line in font units, baseline at 0, y up."""
    return tuple(
        tuple((float(x), 9.0 - float(y)) for x, y in stroke)
        for stroke in _font().strokes_for_text(plain_letters(text))
        if len(set(stroke)) > 1
    )


@cache
def _set_out(lines: tuple[str, ...]) -> tuple[Floats, ...]:
    """Give the strokes of ``lines`` in order of reading, in capitals' heights, about the middle."""
    strokes = [
        np.array(stroke) / _CAPITALS - (0.0, _LINE_STEP * row)
        for row, text in enumerate(lines)
        for stroke in _strokes(text)
    ]
    if not strokes:
        return ()
    every = np.concatenate(strokes)
    middle = (every.min(axis=0) + every.max(axis=0)) / 2
    return tuple(stroke - middle for stroke in strokes)


def text_size(lines: Sequence[str], height: float) -> tuple[float, float]:
    """Give the width and height, mm, that ``lines`` take with capitals ``height`` mm high."""
    strokes = _set_out(tuple(lines))
    if not strokes:
        return 0.0, 0.0
    width, tall = 2 * np.concatenate(strokes).max(axis=0) * height
    return float(width), float(tall)


def lettered(lines: Sequence[str], height: float, center: Point, angle: float) -> tuple[Chain, ...]:
    """Write ``lines`` about ``center``, turned by ``angle`` radians, in the order of reading."""
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    return tuple(stroked(height * stroke @ turn.T + center) for stroke in _set_out(tuple(lines)))
