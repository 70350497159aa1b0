"""Ways to fill a length with pieces: only full ones, where nothing that is left would still go in.

Full ways are enough: what a later length holds may move to an earlier one, and nothing is lost.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate

Counts = tuple[int, ...]
"""How many of each kind, in the order of ``Kinds.sizes``."""
ROUNDING = 1e-6
AT_A_PLACE = 20_000
"""Effort for the ways to fill one length, before the rest of them is given up."""


class Budget:
    """Effort that may be spent: kinds that are counted, over all ways to fill a length.

    ``is_spent`` once something was not looked at for want of it.
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self.used = 0
        self.is_spent = False

    def take(self, steps: int) -> bool:
        """Spend so much; False when there is not enough."""
        self.is_spent = self.is_spent or self.used >= self.most
        self.used += 0 if self.is_spent else steps
        return not self.is_spent

    def part(self, most: int) -> Budget:
        """Give a budget within this one; what it uses is taken off by ``charge``."""
        return Budget(min(most, max(self.most - self.used, 0)))

    def charge(self, part: Budget) -> None:
        """Take off what a part used, without holding it against this one that it was spent."""
        self.used += part.used


@dataclass(frozen=True, slots=True)
class Kinds:
    """Pieces that are alike counted together: ``sizes`` mm, the longest first, and ``counts``."""

    sizes: tuple[float, ...]
    counts: Counts

    @classmethod
    def of(cls, sizes: Sequence[float]) -> Kinds:
        """Count what is alike within rounding."""
        found: dict[float, int] = {}
        for size in sizes:
            key = round(size, 6)
            found[key] = found.get(key, 0) + 1
        ordered = sorted(found, reverse=True)
        return cls(tuple(ordered), tuple(found[size] for size in ordered))

    def length(self, counts: Sequence[int]) -> float:
        """Give the length of so many of each, mm."""
        return math.fsum(size * many for size, many in zip(self.sizes, counts, strict=True))


def full_ways(
    kinds: Kinds, left: Sequence[int], room: float, least: float, budget: Budget
) -> list[tuple[float, Counts]]:
    """Give the full ways to fill ``room`` with at least ``least`` mm: (mm, counts), fullest first.

    Stops short when the budget is spent, or after many at one place, which spends it too.
    """
    found: list[tuple[float, Counts]] = []
    here = budget.part(AT_A_PLACE)
    for way in _ways(kinds, left, room, least):
        if not here.take(len(left)):
            budget.is_spent = True
            break
        found.append((kinds.length(way), way))
    budget.charge(here)
    return sorted(found, key=lambda each: (-each[0], tuple(-many for many in each[1])))


def _ways(kinds: Kinds, left: Sequence[int], room: float, least: float) -> Iterator[Counts]:
    sizes, last = kinds.sizes, len(kinds.sizes) - 1
    all_ = [size * many for size, many in zip(sizes, left, strict=True)]
    coming = [*accumulate(reversed(all_), initial=0.0)][::-1]
    counts = [0] * (last + 1)
    free, kind = room, 0
    while True:
        if room - free + min(free, coming[kind]) >= least - ROUNDING:
            for k in range(kind, last + 1):
                counts[k] = min(left[k], int((free + ROUNDING) // sizes[k]))
                free -= counts[k] * sizes[k]
            if _is_full(sizes, counts, left, free) and room - free >= least - ROUNDING:
                yield tuple(counts)
            # One less of the shortest is never full.
            free += counts[last] * sizes[last]
            counts[last] = 0
            kind = last
        kind -= 1
        while kind >= 0 and counts[kind] == 0:
            kind -= 1
        if kind < 0:
            return
        counts[kind] -= 1
        free += sizes[kind]
        kind += 1


def _is_full(
    sizes: Sequence[float], counts: Sequence[int], left: Sequence[int], free: float
) -> bool:
    for k in range(len(sizes) - 1, -1, -1):
        if sizes[k] > free + ROUNDING:
            return True
        if counts[k] < left[k]:
            return False
    return True


def taken(left: Sequence[int], way: Sequence[int]) -> Counts:
    """Give what is left after ``way``."""
    return tuple(a - b for a, b in zip(left, way, strict=True))
