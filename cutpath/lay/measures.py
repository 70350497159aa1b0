"""What a lay comes to: length to buy, use, and the largest remnants."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.geometry.measure import bounds, signed_area
from cutpath.geometry.remnants import Box, largest_rectangles
from cutpath.laid import Lay
from cutpath.model import Piece

SMALLEST_REMNANT = 200.0
"""Rectangles with a shorter side are waste, mm (common practice, no source)."""
_MOST = 3


@dataclass(frozen=True, slots=True)
class StockUse:
    """What of one stock is used: ``used`` mm of its length, ``use`` of the cloth up to there.

    ``remnants`` are rectangles (x, y, length, width), the largest first; of a stock on hand all
    that is left counts, of a new roll what lies beside the pieces.
    """

    used: float
    use: float
    remnants: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class LayMeasures:
    """A lay in numbers: mm to buy, the share of used cloth in pieces, and each stock's own."""

    to_buy: float
    use: float
    stocks: tuple[StockUse, ...]

    @property
    def cloth(self) -> tuple[float, float]:
        """Give mm to buy and mm used in all, which tell the better of two lays."""
        return self.to_buy, sum(stock.used for stock in self.stocks)


def measured(lay: Lay, laid: Sequence[Piece]) -> LayMeasures:
    """Measure a lay; ``laid[i]`` is the piece at ``lay.places[i]``."""
    uses = []
    to_buy = whole = covered = 0.0
    for number, stock in enumerate(lay.stocks):
        here = [
            piece for place, piece in zip(lay.places, laid, strict=True) if place.stock == number
        ]
        used = max((bounds(piece.cut)[2] for piece in here), default=0.0)
        area = sum(abs(signed_area(piece.cut)) for piece in here)
        far = used if stock.length is None else stock.length
        boxes: tuple[Box, ...] = ()
        if far > 0:
            boxes = largest_rectangles(
                (0.0, 0.0, far, stock.width),
                [piece.cut for piece in here],
                stock.flaws,
                SMALLEST_REMNANT,
                _MOST,
            )
        uses.append(StockUse(used, area / (used * stock.width) if used else 0.0, boxes))
        to_buy += used if stock.length is None else 0.0
        whole += used * stock.width
        covered += area
    return LayMeasures(to_buy, covered / whole if whole else 0.0, tuple(uses))
