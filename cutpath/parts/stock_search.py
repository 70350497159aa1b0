"""The fullest remnants and the fewest rolls, by branch and bound over ways to fill each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from cutpath.parts.stock_ways import AT_A_PLACE, ROUNDING, Budget, Counts, Kinds, full_ways

_QUICKLY = 1_000
_ROUNDS, _GROWTH = 60, 1.02
"""Rounds of corrected worth, and how much more than by its length long pieces are worth."""


@dataclass(frozen=True, slots=True)
class Filling:
    """What each length holds, what of the kinds is left over, and how many mm are used."""

    bins: tuple[Counts, ...]
    left: Counts
    used: float


def equally_full(
    kinds: Kinds, rooms: Sequence[float], roll: float, budget: Budget
) -> tuple[Filling, ...]:
    """Give the ways to fill ``rooms`` (mm) that use the most; what is left over fits on rolls.

    Among ways that leave the same over there is one. Empty when nothing of the kind was found: a
    piece is too long for a roll and no remnant has room for it.
    """
    quick = _each_fullest(kinds, rooms)
    is_possible = _fit_on(roll, kinds, quick.left)
    best = {quick.left: quick} if is_possible else {}
    most = quick.used if is_possible else 0.0
    # Equal remnants are filled with less and less, so that no two ways differ by a swap alone.
    fullest = [_most(kinds, room, budget) for room in rooms]
    coming = [*accumulate(reversed(fullest), initial=0.0)][::-1]
    stack = [(Filling((), kinds.counts, 0.0), math.inf)]
    while stack:
        filling, before = stack.pop()
        place = len(filling.bins)
        if filling.used + min(coming[place], kinds.length(filling.left)) < most - ROUNDING:
            continue
        if place == len(rooms):
            if _fit_on(roll, kinds, filling.left):
                best = best if best and filling.used <= most + ROUNDING else {}
                most = max(most, filling.used)
                best.setdefault(filling.left, filling)
            continue
        is_alike = place > 0 and rooms[place] == rooms[place - 1]
        least = most - filling.used - coming[place + 1]
        for size, way in reversed(full_ways(kinds, filling.left, rooms[place], least, budget)):
            if not is_alike or size <= before + ROUNDING:
                bins = (*filling.bins, way)
                stack.append((Filling(bins, _less(filling.left, way), filling.used + size), size))
    return tuple(best.values())


def _each_fullest(kinds: Kinds, rooms: Sequence[float]) -> Filling:
    """Fill each length as full as can be found quickly, one after the other."""
    filling = Filling((), kinds.counts, 0.0)
    for room in rooms:
        ways = full_ways(kinds, filling.left, room, 0.0, Budget(_QUICKLY))
        size, way = ways[0]
        filling = Filling((*filling.bins, way), _less(filling.left, way), filling.used + size)
    return filling


def _most(kinds: Kinds, room: float, budget: Budget) -> float:
    """Give the most of ``room`` that pieces fill; all of it where that is too much to find out."""
    mine = budget.part(AT_A_PLACE)
    ways = full_ways(kinds, kinds.counts, room, 0.0, mine)
    budget.charge(mine)
    return room if mine.is_spent or not ways else ways[0][0]


def _fit_on(roll: float, kinds: Kinds, left: Counts) -> bool:
    return all(
        not many or size <= roll + ROUNDING for size, many in zip(kinds.sizes, left, strict=True)
    )


def _less(left: Sequence[int], way: Sequence[int]) -> Counts:
    return tuple(a - b for a, b in zip(left, way, strict=True))


def least_rolls(kinds: Kinds, left: Sequence[int], roll: float) -> int:
    """Give a number of rolls that no way of cutting ``left`` stays below.

    Bound L2 of Martello and Toth (Knapsack Problems, 1990, chapter 8; from memory): pieces that no
    two of go together need a roll each, and what is short fills only the room beside them.
    """
    held = [(size, many) for size, many in zip(kinds.sizes, left, strict=True) if many]
    best = math.ceil((kinds.length(left) - ROUNDING) / roll)
    for short in [0.0, *(size for size, _ in held if size <= roll / 2 + ROUNDING)]:
        alone = [each for each in held if each[0] > roll - short + ROUNDING]
        half = [each for each in held if roll / 2 + ROUNDING < each[0] <= roll - short + ROUNDING]
        rest = sum(s * m for s, m in held if short - ROUNDING <= s <= roll / 2 + ROUNDING)
        beside = sum(m * (roll - s) for s, m in half)
        more = max(0, math.ceil((rest - beside - ROUNDING) / roll))
        best = max(best, sum(m for _, m in alone) + sum(m for _, m in half) + more)
    return best


def fewest_rolls(
    kinds: Kinds, left: Counts, roll: float, budget: Budget
) -> tuple[tuple[Counts, ...], bool]:
    """Cut ``left`` from as few rolls as can be found; tell whether fewer are impossible."""
    least = least_rolls(kinds, left, roll)
    quick = _longest_first(kinds, left, roll)
    if len(quick) > least:
        quick = min(quick, _by_worth(kinds, left, roll, least, budget), key=len)
    for count in range(least, len(quick)):
        mine = budget.part(AT_A_PLACE * 10)
        found = _packed(kinds, left, roll, count, mine)
        budget.charge(mine)
        if found is not None:
            return found, True
        if mine.is_spent:
            return quick, False
    return quick, True


def _longest_first(kinds: Kinds, left: Counts, roll: float) -> tuple[Counts, ...]:
    """Fill a roll with the longest that go in, then the next."""
    out: list[Counts] = []
    while any(left):
        free, way = roll, []
        for size, many in zip(kinds.sizes, left, strict=True):
            fit = min(many, int((free + ROUNDING) // size))
            way.append(fit)
            free -= fit * size
        out.append(tuple(way))
        left = _less(left, out[-1])
    return tuple(out)


def _by_worth(
    kinds: Kinds, left: Counts, roll: float, least: int, budget: Budget
) -> tuple[Counts, ...]:
    """Fill roll after roll with what is worth most; what fills rolls badly is worth more next time.

    The idea of sequential value correction (Mukhacheva; from memory): worth begins as length; each
    roll shares its whole length out over what it holds, and worth drifts there.
    """
    mine = budget.part(AT_A_PLACE)
    table = np.array([way for _, way in full_ways(kinds, left, roll, 0.0, mine)], dtype=np.int64)
    budget.charge(mine)
    sizes = np.array(kinds.sizes, dtype=float)
    worth, best = sizes.copy(), _longest_first(kinds, left, roll)
    for _ in range(_ROUNDS if len(table) else 0):
        rest, rolls = np.array(left), []
        while (possible := (table <= rest).all(axis=1)).any():
            way = table[np.where(possible, table @ worth, -1.0).argmax()]
            share = np.where(way > 0, way / np.maximum(way + rest, 1), 0.0)
            worth += share * (sizes**_GROWTH * roll / (way @ sizes) - worth)
            rolls.append(tuple(int(many) for many in way))
            rest = rest - way
        rolls += _longest_first(kinds, tuple(int(many) for many in rest), roll)
        if len(rolls) < len(best):
            best = tuple(rolls)
        if len(best) <= least:
            break
    return best


def _packed(
    kinds: Kinds, left: Counts, roll: float, count: int, budget: Budget
) -> tuple[Counts, ...] | None:
    """Cut ``left`` from ``count`` rolls, the longest piece that is left in each; None: no way."""
    stack = [(Filling((), left, 0.0), count * roll - kinds.length(left))]
    while stack:
        filling, spare = stack.pop()
        if not any(filling.left):
            return filling.bins
        longest = next(kind for kind, many in enumerate(filling.left) if many)
        first = tuple(int(kind == longest) for kind in range(len(left)))
        rest = _less(filling.left, first)
        size = kinds.sizes[longest]
        ways = full_ways(kinds, rest, roll - size, roll - spare - size, budget)
        for used, way in reversed(ways):
            bins = (*filling.bins, tuple(a + b for a, b in zip(first, way, strict=True)))
            after = Filling(bins, _less(rest, way), filling.used + size + used)
            stack.append((after, spare - (roll - size - used)))
    return None
