"""Frames: which pieces are cut while the cloth lies still, and how far it advances between.

A frame is a window as long as the bed. The next one begins at the first piece that was not cut, so
frames may overlap and no piece lies across an edge; taking each as full as it will go gives the
fewest (the covering of intervals by windows, greedily from the left). Where the machine may go on
with a piece that is longer than the bed, that piece is cut in parts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutpath.geometry.measure import bounds
from cutpath.laid import Lay
from cutpath.model import Piece

_ROUNDING = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """What is cut at one time: pieces of one stock, in its coordinates.

    ``start`` and ``end`` are how far along the stock, mm, the frame goes; ``advance`` how far the
    cloth moves to bring it there. ``spans`` tell (from, to) of pieces that are cut in part only;
    ``joins`` where a piece goes on in the next frame, None when none does.
    """

    stock: int
    start: float
    end: float
    advance: float
    pieces: tuple[Piece, ...]
    spans: Mapping[str, tuple[float, float]]
    joins: float | None


@dataclass(slots=True)
class _Left:
    """A piece that is not wholly cut: its ends, and how far it is cut (from its own start)."""

    piece: Piece
    low: float
    high: float
    done: float = -math.inf

    def wants(self, overlap: float) -> float:
        """Give where a frame must begin to go on with this piece."""
        return self.low if math.isinf(self.done) else self.done - overlap


def frames_of(
    lay: Lay, laid: Sequence[Piece], reach: float, overlap: float = 0.0
) -> tuple[Frame, ...]:
    """Give the frames of a lay on a bed that takes ``reach`` mm of cloth at once.

    The first frame of a stock begins at its end where that costs nothing. A piece longer than
    ``reach`` is parted, each part beginning ``overlap`` mm before the end of the one before.
    """
    frames: list[Frame] = []
    for number in range(len(lay.stocks)):
        left = [
            _Left(piece, bounds(piece.cut)[0], bounds(piece.cut)[2])
            for place, piece in zip(lay.places, laid, strict=True)
            if place.stock == number
        ]
        last = 0.0
        while left:
            start = min(each.wants(overlap) for each in left)
            if not last and _whole(left, start, reach) == _whole(left, 0.0, reach):
                start = 0.0 if _longest(left) <= reach else start
            frame = _frame(left, (number, start, start - last), reach)
            frames.append(frame)
            left = [each for each in left if each.done < each.high - _ROUNDING]
            last = start
    return tuple(frames)


def _longest(left: Sequence[_Left]) -> float:
    return max(each.high - each.low for each in left)


def _whole(left: Sequence[_Left], start: float, reach: float) -> list[int]:
    """Give the numbers of the pieces that lie wholly in the frame."""
    return [
        number
        for number, each in enumerate(left)
        if math.isinf(each.done) and start - _ROUNDING <= each.low
        if each.high <= start + reach + _ROUNDING
    ]


def _frame(left: Sequence[_Left], place: tuple[int, float, float], reach: float) -> Frame:
    """Cut what can be cut in one frame, and write down how far each piece is."""
    number, start, advance = place
    end = start + reach
    whole = [left[index] for index in _whole(left, start, reach)]
    pieces = [each.piece for each in whole]
    spans: dict[str, tuple[float, float]] = {}
    joins: float | None = None
    for each in left:
        begun = not math.isinf(each.done)
        is_long = each.high - each.low > reach + _ROUNDING
        # A sliver of a long piece is not worth two joins.
        worth = start <= each.low + _ROUNDING and end - each.low > (reach / 2 if whole else 0.0)
        if not is_long or not (begun or worth):
            continue
        is_last = each.high <= end + _ROUNDING
        spans[each.piece.name] = each.done, math.inf if is_last else end
        pieces.append(each.piece)
        each.done = each.high if is_last else end
        joins = joins if is_last else end
    for each in whole:
        each.done = each.high
    return Frame(number, start, end, advance, tuple(pieces), spans, joins)
