"""Words on a printed page: how much room they take, and how they are made to fit it.

No font travels with a picture, so widths are estimates, on the wide side: those of a broad
sans-serif face. Sizes and widths are mm on paper.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

_NARROW = frozenset("ijlI.,:;'|!()[]/ -")
_SLIM = frozenset('frtsczJ"*°?')
_WIDE = frozenset("mwMWOQGDNH@%&±+−=→≤≥")
_BOLD = 1.12
_ELLIPSIS = "…"


def printable(text: str) -> str:
    """Give ``text`` on one line, without what XML cannot hold."""
    kept = "".join(
        " " if unicodedata.category(letter) in {"Cc", "Cs", "Zl", "Zp"} or letter in "\ufffe\uffff"
        else letter
        for letter in text
    )  # fmt: skip
    return " ".join(kept.split())


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Estimate the width of ``text`` set in letters of ``size`` mm."""
    ems = sum(_ems(letter) for letter in text)
    return ems * size * (_BOLD if bold else 1.0)


def _ems(letter: str) -> float:
    if letter in _NARROW:
        return 0.36
    if letter in _SLIM:
        return 0.54
    if unicodedata.combining(letter):
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF":
        return 1.05
    return 0.86 if letter in _WIDE else 0.66


def shortened(text: str, width: float, size: float, *, bold: bool = False) -> str:
    """Give ``text``, or as much of its start and end as fits, with … for what is left out."""
    text = printable(text)
    if text_width(text, size, bold=bold) <= width:
        return text
    for kept in range(len(text) - 1, 0, -1):
        # Names that differ mostly do so at an end: keep both, and rather the number at the last.
        head, tail = kept // 2, kept - kept // 2
        short = text[:head].rstrip() + _ELLIPSIS + text[-tail:].lstrip()
        if text_width(short, size, bold=bold) <= width:
            return short
    return _ELLIPSIS


def wrapped(text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Break ``text`` into lines no wider than ``width``; a word that is too long is broken too."""
    lines: list[str] = []
    current = ""
    for word in _words(printable(text), width, size, bold=bold):
        longer = f"{current} {word}" if current else word
        if current and text_width(longer, size, bold=bold) > width:
            lines.append(current)
            current = word
        else:
            current = longer
    return [*lines, current] if current else lines


def _words(text: str, width: float, size: float, *, bold: bool) -> Iterator[str]:
    for whole in text.split(" "):
        word = whole
        while len(word) > 1 and text_width(word, size, bold=bold) > width:
            kept = len(word) - 1
            while kept > 1 and text_width(word[:kept], size, bold=bold) > width:
                kept -= 1
            yield word[:kept]
            word = word[kept:]
        yield word


def signed(value: float, decimals: int = 1) -> str:
    """Give a difference with its sign, a real minus and no signed zero."""
    text = f"{abs(value):.{decimals}f}"
    if float(text) == 0:
        return text
    return ("−" if value < 0 else "+") + text
