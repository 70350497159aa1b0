"""Lengths cut from remnants and new rolls with the least new length: exact for shop-size lists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

_NODES = 200_000
"""How many ways are looked at before what was found has to do; the list then says so."""
_ROUNDING = 1e-6


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

    ``is_best`` tells that no other way takes less new length, or fewer new rolls for it.
    """

    bars: tuple[Bar, ...]
    bought: float
    is_best: bool


def cut_list(
    pieces: Sequence[float], remnants: Sequence[float], roll: float, kerf: float
) -> CutList:
    """Cut ``pieces`` (mm) from ``remnants`` first and then from rolls of ``roll`` mm.

    Each piece takes ``kerf`` mm more. As much length as possible comes from the remnants (a
    multiple knapsack, by branch and bound over the pieces from the longest), the rest from the
    fewest rolls.

    Raises ValueError for a piece longer than a roll and every remnant, or one of no length.
    """
    if pieces and min(pieces) <= 0:
        raise ValueError("a piece needs some length")
    longest = max([roll, *remnants])
    if pieces and max(pieces) + kerf > longest + _ROUNDING:
        raise ValueError("a piece is longer than any stock")
    sizes = [piece + kerf for piece in pieces]
    order = sorted(range(len(sizes)), key=lambda i: (-sizes[i], i))
    search = _Search(sizes, order, sorted(remnants, reverse=True), roll)
    search.run()
    stocks = sorted(remnants, reverse=True)
    bars = [
        Bar(stock, is_new=False, pieces=tuple(held), left=stock - sum(sizes[i] for i in held))
        for stock, held in zip(stocks, search.best, strict=True)
        if held
    ]
    rest = [i for i in order if not any(i in held for held in search.best)]
    rolls, is_fewest = _rolls(rest, sizes, roll)
    bars += [
        Bar(roll, is_new=True, pieces=tuple(held), left=roll - sum(sizes[i] for i in held))
        for held in rolls
    ]
    bought = sum(sizes[i] for i in rest)
    return CutList(tuple(bars), bought, search.is_whole and is_fewest)


class _Search:
    """Depth first, the longest piece first, into each remnant that differs, or left for a roll."""

    def __init__(
        self, sizes: Sequence[float], order: Sequence[int], stocks: Sequence[float], roll: float
    ) -> None:
        self.sizes, self.order, self.stocks, self.roll = sizes, order, stocks, roll
        self.best: list[list[int]] = [[] for _ in stocks]
        self.most = 0.0
        self.nodes = 0
        self.is_whole = True
        after = 0.0
        self.coming = [0.0] * (len(order) + 1)
        for place in range(len(order) - 1, -1, -1):
            after += sizes[order[place]]
            self.coming[place] = after

    def run(self) -> None:
        """Look until all ways are known or the effort is spent."""
        if self.stocks:
            self._go(0, list(self.stocks), [[] for _ in self.stocks], 0.0)

    def _go(self, place: int, free: list[float], held: list[list[int]], used: float) -> None:
        if used > self.most + _ROUNDING:
            self.most, self.best = used, [list(pieces) for pieces in held]
        self.nodes += 1
        if self.nodes > _NODES:
            self.is_whole = False
            return
        if place == len(self.order):
            return
        if used + min(self.coming[place], sum(free)) <= self.most + _ROUNDING:
            return
        index = self.order[place]
        size = self.sizes[index]
        tried: set[float] = set()
        # The tightest remnant first: good answers early cut the rest of the tree.
        for stock in sorted(range(len(free)), key=lambda s: free[s]):
            if free[stock] + _ROUNDING < size or round(free[stock], 6) in tried:
                continue
            tried.add(round(free[stock], 6))
            free[stock] -= size
            held[stock].append(index)
            self._go(place + 1, free, held, used + size)
            held[stock].pop()
            free[stock] += size
        if size <= self.roll + _ROUNDING:
            self._go(place + 1, free, held, used)


def _rolls(
    rest: Sequence[int], sizes: Sequence[float], roll: float
) -> tuple[list[list[int]], bool]:
    """Pack what is left into rolls, best fit from the longest; tell whether fewer cannot do."""
    rolls: list[tuple[float, list[int]]] = []
    for index in rest:
        fitting = [
            (free, number)
            for number, (free, _) in enumerate(rolls)
            if free + _ROUNDING >= sizes[index]
        ]
        if fitting:
            free, number = min(fitting)
            rolls[number][1].append(index)
            rolls[number] = (free - sizes[index], rolls[number][1])
        else:
            rolls.append((roll - sizes[index], [index]))
    whole = sum(sizes[index] for index in rest)
    least = max(
        int(-(-(whole - _ROUNDING) // roll)) if rest else 0,
        sum(sizes[index] > roll / 2 + _ROUNDING for index in rest),
    )
    best = [held for _, held in rolls]
    for count in range(least, len(best)):
        packing = _Packing([sizes[index] for index in rest], roll, count)
        found = packing.found()
        if found is not None:
            return [[rest[place] for place in held] for held in found], True
        if not packing.is_whole:
            return best, False
    return best, True


class _Packing:
    """Whether sizes (the longest first) go into ``count`` rolls: tried out, depth first."""

    def __init__(self, sizes: Sequence[float], roll: float, count: int) -> None:
        self.sizes = sizes
        self.free = [roll] * count
        self.held: list[list[int]] = [[] for _ in range(count)]
        self.nodes = 0
        self.is_whole = True

    def found(self) -> list[list[int]] | None:
        """Give what each roll holds, or None."""
        return self.held if self._go(0) else None

    def _go(self, place: int) -> bool:
        self.nodes += 1
        if self.nodes > _NODES:
            self.is_whole = False
            return False
        if place == len(self.sizes):
            return True
        size = self.sizes[place]
        tried: set[float] = set()
        for roll, free in enumerate(self.free):
            if free + _ROUNDING < size or round(free, 6) in tried:
                continue
            tried.add(round(free, 6))
            self.free[roll] -= size
            self.held[roll].append(place)
            if self._go(place + 1):
                return True
            self.held[roll].pop()
            self.free[roll] += size
        return False
