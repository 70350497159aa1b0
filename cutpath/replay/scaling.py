"""User units to plotter units: IP and SC (HP, PCL 5 Quick Reference, p. 28)."""

from __future__ import annotations

from dataclasses import dataclass

from cutpath.replay.tracing import Spot
from cutpath.replay.view import refuse_at


@dataclass(frozen=True, slots=True)
class Scale:
    """``plotter = origin + user × factor``, each axis by itself."""

    origin: Spot
    factor: Spot

    def point(self, x: float, y: float) -> Spot:
        """Give a user point in plotter units."""
        return self.origin[0] + x * self.factor[0], self.origin[1] + y * self.factor[1]


Corners = tuple[float, float, float, float]


def scaled(corners: Corners | None, numbers: tuple[float, ...], place: str) -> Scale | None:
    """Give the scale that SC with ``numbers`` sets between P1 and P2; None for scaling off.

    Raises InputError when P1 and P2 were never set, or for numbers that scale nothing.
    """
    if not numbers:
        return None
    kind = int(numbers[4]) if len(numbers) > 4 else 0
    if len(numbers) not in (4, 5, 7) or kind not in (0, 1, 2):
        refuse_at("SC takes 4 numbers, a type 0, 1 or 2, and for type 1 two percentages", place)
    if corners is None:
        refuse_at("SC without IP: where P1 and P2 lie depends on the machine", place)
    low_x, second_x, low_y, second_y = numbers[:4]
    if kind == 2:
        factor = (second_x, second_y)
    else:
        if second_x == low_x or second_y == low_y:
            refuse_at("SC spans nothing", place)
        factor = (
            (corners[2] - corners[0]) / (second_x - low_x),
            (corners[3] - corners[1]) / (second_y - low_y),
        )
    if 0.0 in factor:
        refuse_at("SC makes everything the same place", place)
    base = (corners[0], corners[1])
    if kind == 1:
        even = min(abs(factor[0]), abs(factor[1]))
        left, bottom = numbers[5:7] if len(numbers) == 7 else (50.0, 50.0)
        spare_x = (corners[2] - corners[0]) * (1 - even / abs(factor[0]))
        spare_y = (corners[3] - corners[1]) * (1 - even / abs(factor[1]))
        base = (base[0] + spare_x * left / 100, base[1] + spare_y * bottom / 100)
        factor = (even if factor[0] > 0 else -even, even if factor[1] > 0 else -even)
    return Scale((base[0] - low_x * factor[0], base[1] - low_y * factor[1]), factor)
