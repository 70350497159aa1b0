"""Lengths cut from remnants and new rolls with the least new length: exact for shop-size lists."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.parts.stock_search import Filling, equally_full, fewest_rolls
from cutpath.parts.stock_ways import ROUNDING, Budget, Counts, Kinds

_EFFORT = 600_000
"""Steps of the search before what was found has to do: some seconds at most."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One length of stock and what is cut from it: numbers of the pieces, in cutting order."""

    length: float
    is_new: bool
    pieces: tuple[int, ...]
    left: float


@dataclass(frozen=True, slots=True)
class CutList:
    """What is cut from what. ``bought`` is the new length used up, mm, cuts included.

    ``is_best`` tells that it is proven: no other way takes less new length, and none that takes as
    little begins fewer new rolls.
    """

    bars: tuple[Bar, ...]
    bought: float
    is_best: bool

    @property
    def rolls(self) -> int:
        """Give how many new rolls are begun."""
        return sum(bar.is_new for bar in self.bars)


def cut_list(
    pieces: Sequence[float], remnants: Sequence[float], roll: float, kerf: float
) -> CutList:
    """Cut ``pieces`` (mm) from ``remnants`` first and then from rolls of ``roll`` mm.

    Each piece takes ``kerf`` mm more. As much length as can be comes from the remnants, the rest
    from the fewest rolls; both by branch and bound, with so much effort at most. The same list is
    cut the same way each time.

    Raises ValueError for a piece of no length, or one that no roll and no remnant has room for.
    """
    if not pieces:
        return CutList((), 0.0, is_best=True)
    if min(pieces) <= 0:
        raise ValueError("a piece needs some length")
    kinds = Kinds.of([piece + kerf for piece in pieces])
    budget = Budget(_EFFORT)
    order = sorted(range(len(remnants)), key=lambda number: (-remnants[number], number))
    filled = equally_full(kinds, [remnants[number] for number in order], roll, budget)
    if not filled:
        raise ValueError("a piece is longer than any stock")
    filling, packed, is_fewest = _on_fewest(kinds, filled, roll, budget)
    numbers = _Numbers(kinds, pieces, kerf)
    bars = [
        numbers.bar(remnants[number], way, is_new=False)
        for number, way in zip(order, filling.bins, strict=True)
        if any(way)
    ]
    bars += [numbers.bar(roll, way, is_new=True) for way in packed]
    bought = kinds.length(filling.left)
    return CutList(tuple(bars), bought, is_fewest and not budget.is_spent)


def _on_fewest(
    kinds: Kinds, filled: Sequence[Filling], roll: float, budget: Budget
) -> tuple[Filling, tuple[Counts, ...], bool]:
    """Choose among equally full remnants: they leave the same length, in other sizes perhaps."""
    least = math.ceil((kinds.length(filled[0].left) - ROUNDING) / roll)
    best: tuple[Filling, tuple[Counts, ...]] | None = None
    are_fewest = True
    for filling in filled:
        packed, is_fewest = fewest_rolls(kinds, filling.left, roll, budget)
        are_fewest = are_fewest and is_fewest
        if best is None or len(packed) < len(best[1]):
            best = (filling, packed)
        if len(packed) <= least:
            return filling, packed, True
    assert best is not None
    return (*best, are_fewest)


class _Numbers:
    """The pieces' own numbers, handed out kind by kind."""

    def __init__(self, kinds: Kinds, pieces: Sequence[float], kerf: float) -> None:
        self.kinds, self.pieces, self.kerf = kinds, pieces, kerf
        order = sorted(range(len(pieces)), key=lambda number: (-pieces[number], number))
        self.waiting = deque(order)
        by_kind: list[deque[int]] = [deque() for _ in kinds.sizes]
        for kind, many in enumerate(kinds.counts):
            by_kind[kind].extend(self.waiting.popleft() for _ in range(many))
        self.by_kind = by_kind

    def bar(self, length: float, way: Counts, *, is_new: bool) -> Bar:
        """Give the bar of ``length`` that is cut that way."""
        held = [self.by_kind[kind].popleft() for kind, many in enumerate(way) for _ in range(many)]
        left = length - sum(self.pieces[number] + self.kerf for number in held)
        return Bar(length, is_new, tuple(held), left)
