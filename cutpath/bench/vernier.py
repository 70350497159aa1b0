"""Two rows of ticks that tell a small shift: a scale, and a slide with a slightly finer pitch.

Ticks of the scale stand 2 mm apart, those of the slide 1.9 mm. Where the slide is shifted by k
tenths of a millimetre, its k-th tick runs on in a tick of the scale: k (2 − 1.9) = 0.1 k. Two ticks
that meet equally well tell the half between. (The principle is P. Vernier's, 1631.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.bench.hand import Hand
from cutpath.bench.pattern_model import Inset, Label
from cutpath.geometry.chain import Chain, line
from cutpath.geometry.points import Point
from cutpath.model import Toolpath

PITCH, STEP, SIDE = 2.0, 0.1, 10
"""Pitch of the scale, what one tick of the slide tells (mm), and ticks to each side of its zero."""
SCALE_SIDE = 15
"""Ticks of the scale to each side of its zero."""
REACH = SCALE_SIDE * PITCH
DEPTH = 12.0
"""Length of the longest tick, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Vernier:
    """A scale and its slide about ``zero``: shifts along ``along`` are read, the slide is ``up``.

    Both are unit vectors along the machine's axes. ``overlap`` is how far ticks of both run into
    each other, mm.
    """

    zero: Point
    along: Point
    up: Point
    overlap: float = 0.0

    def scale(self) -> list[Chain]:
        """Give the scale's ticks, in order, each towards ``up``."""
        return [
            line(
                self.zero + k * PITCH * self.along - _length(k) * self.up,
                self.zero + k * PITCH * self.along + self.overlap / 2 * self.up,
            )
            for k in range(-SCALE_SIDE, SCALE_SIDE + 1)
        ]

    def slide(self) -> list[Chain]:
        """Give the slide's ticks, in order, each towards ``up``."""
        pitch = PITCH - STEP
        return [
            line(
                self.zero + k * pitch * self.along - self.overlap / 2 * self.up,
                self.zero + k * pitch * self.along + _length(k) * self.up,
            )
            for k in range(-SIDE, SIDE + 1)
        ]

    def labels(self) -> list[Label]:
        """Give the numbers: whole mm beside the scale, parts of one beside the slide."""
        out = [
            _label(f"{mm:+d}" if mm else "0", self.zero + mm * self.along - _out(3.5) * self.up)
            for mm in range(-30, 31, 10)
        ]
        out += [
            _label(text, self.zero + k * (PITCH - STEP) * self.along + _out(3.5) * self.up)
            for k, text in ((-10, "-1.0"), (-5, "-0.5"), (0, "0"), (5, "+0.5"), (10, "+1.0"))
        ]
        return out

    @property
    def spot(self) -> Point:
        """Give where its letter may stand on a drawing: below its scale."""
        return self.zero - _out(6.0) * self.up


def _out(beyond: float) -> float:
    return DEPTH + beyond


def _label(text: str, at: Point) -> Label:
    return Label(text, at, 2.5)


def _length(k: int) -> float:
    """Give the length of tick ``k``: the zero is longest, every fifth longer than the rest."""
    if k == 0:
        return DEPTH
    return 9.0 if k % 5 == 0 else 6.0


def drawn(chains: Sequence[Chain], hand: Hand) -> list[Toolpath]:
    """Give ticks as strokes of one tool, with a short one before that is not read.

    That one turns a trailing blade the way of the others.
    """
    first, pace = chains[0], chains[0].first - chains[1].first
    way = first.last - first.first
    way = way / np.hypot(*way)
    start = first.first + 2 * pace
    return [hand.line(start, start + 4.0 * way), *(hand.stroke(chain) for chain in chains)]


def how_to_read(scale_by: str, slide_by: str, shift: float = 2.35) -> Inset:
    """Draw the middle of a vernier whose slide is shifted by ``shift`` mm, with what it tells.

    ``shift`` lies half a step between two ticks of the slide.
    """
    whole = round(shift / PITCH) * PITCH
    k = int(np.floor((shift - whole) / STEP + 1e-9))
    scale = [_upright(n * PITCH, -_length(n) / 3) for n in range(-2, 8)]
    slide = [_upright(shift + n * (PITCH - STEP), _length(n) / 3) for n in range(-1, 7)]
    words = [("0", 0.0, -5.2), ("+10", 10.0, -5.2), ("0", shift, 4.8)]
    for n in (k, k + 1):
        at = shift + n * (PITCH - STEP)
        slide += [_upright(at, 1.4, 2.6), *_arrow(at, 2.6)]
        words.append((f"{n:+d}", at, 4.8))
    words.append(("equal", shift + (k + 0.5) * (PITCH - STEP), 6.6))
    caption = (
        f"Lower ticks: the scale, by {scale_by}, 2 mm apart. Upper ticks: the slide, by {slide_by}."
        f" 1. The slide's 0 stands nearest to the scale's {_signed(whole)} mm tick: "
        f"{_signed(whole)}. "
        f"2. Which tick of the slide runs straight on in one of the scale? Number {k:+d} and "
        f"number {k + 1:+d} do equally well; one is worth 0.1 mm: {(k + 0.5) * STEP:+.2f}. "
        f"3. Together {shift:+.2f} mm."
    )
    title = "How to read the two rows of ticks"
    return Inset(title, tuple(slide), tuple(scale), tuple(words), caption)


def _signed(mm: float) -> str:
    return f"{mm:+.0f}" if mm else "0"


def _upright(x: float, high: float, foot: float = 0.0) -> Chain:
    return line((x, foot), (x, foot + high))


def _arrow(x: float, y: float) -> list[Chain]:
    """Give the two barbs of an arrow that points down at (x, y)."""
    return [line((x + side, y + 0.5), (x, y)) for side in (-0.3, 0.3)]
