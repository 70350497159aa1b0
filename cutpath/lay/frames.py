"""Frames: which pieces are cut while the cloth lies still, and how far it advances between.

A frame is a window as long as the bed. The next one begins at the first piece that was not cut, so
frames may overlap and no piece lies across an edge; taking each as full as it will go gives the
fewest (the covering of intervals by windows, greedily from the left).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.geometry.measure import bounds
from cutpath.laid import Lay
from cutpath.model import Piece

_ROUNDING = 1e-6
_Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """What is cut at one time: pieces of one stock, in its coordinates.

    ``start`` is how far along the stock, mm, the frame begins; ``advance`` how far the cloth moves
    to bring it there.
    """

    stock: int
    start: float
    advance: float
    pieces: tuple[Piece, ...]


def frames_of(lay: Lay, laid: Sequence[Piece], reach: float) -> tuple[Frame, ...]:
    """Give the frames of a lay on a bed that takes ``reach`` mm of cloth at once.

    Every piece must be shorter than ``reach``. The first frame of a stock begins at its end where
    that costs nothing.
    """
    frames: list[Frame] = []
    for number in range(len(lay.stocks)):
        left = [
            (bounds(piece.cut), piece)
            for place, piece in zip(lay.places, laid, strict=True)
            if place.stock == number
        ]
        last = 0.0
        while left:
            start = min(box[0] for box, _ in left)
            inside = _within(left, start, reach)
            if not last and inside == _within(left, 0.0, reach):
                start = 0.0
            frames.append(Frame(number, start, start - last, tuple(left[i][1] for i in inside)))
            left = [pair for i, pair in enumerate(left) if i not in inside]
            last = start
    return tuple(frames)


def _within(left: Sequence[tuple[_Box, Piece]], start: float, reach: float) -> list[int]:
    """Give the numbers of those that end inside the frame."""
    return [i for i, (box, _) in enumerate(left) if box[2] <= start + reach + _ROUNDING]
