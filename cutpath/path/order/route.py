"""A route under change: its order, the way taken through each stop, and a journal to undo it.

Places 0 and n + 1 hold the stops that stand for the start and the end; they never move. Runs may
be turned around or moved only where that keeps what must come before what.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from cutpath.path.order.costs import Table
from cutpath.path.order.stops import Visit, Work

LONGEST = 4000
"""The most stops whose places may change in one move, so that a move's cost has a bound."""


class Route:
    """The stops in order; ``taken[s]`` is the option by which stop s is passed."""

    def __init__(self, work: Work, table: Table, visits: Sequence[Visit]) -> None:
        count = len(work.stops)
        self.rows = table.rows
        self.options = table.options.by_stop
        self.back = table.options.back
        self.has_one_way = any(table.options.one_way)
        self.order = [count, *(stop for stop, _ in visits), count + 1]
        self.at = [0] * (count + 2)
        for place, stop in enumerate(self.order):
            self.at[stop] = place
        self.taken = [options[0] for options in self.options]
        for stop, way in visits:
            self.taken[stop] = self.options[stop][way]
        levels = [stop.level for stop in work.stops]
        self.level = [*levels, min(levels) - 1, max(levels) + 1]
        self.before: list[tuple[int, ...]] = [*(stop.after for stop in work.stops), (), ()]
        later: list[list[int]] = [[] for _ in self.level]
        for stop, earlier in enumerate(self.before):
            for each in earlier:
                later[each].append(stop)
        self.later = later
        self.is_free = not any(self.before)
        self.journal: list[tuple[int, list[int]]] = []

    def visits(self) -> list[Visit]:
        """Give the stops in order, each with its way."""
        return [(s, self.taken[s] - self.options[s][0]) for s in self.order[1:-1]]

    def cost(self) -> float:
        """Give what the whole route costs, without waits."""
        taken = [self.taken[stop] for stop in self.order]
        return sum(self.rows[a][b] for a, b in pairwise(taken))

    def place(self, low: int, stops: list[int]) -> None:
        """Put ``stops`` at the places from ``low`` on."""
        order, at = self.order, self.at
        high = low + len(stops)
        self.journal.append((low, order[low:high]))
        order[low:high] = stops
        for place, stop in enumerate(stops, low):
            at[stop] = place

    def take(self, stop: int, option: int) -> None:
        """Pass ``stop`` by ``option`` from now on."""
        self.journal.append((-1 - stop, [self.taken[stop]]))
        self.taken[stop] = option

    def undo(self) -> None:
        """Take back all that the journal holds."""
        order, at = self.order, self.at
        for low, old in reversed(self.journal):
            if low < 0:
                self.taken[-1 - low] = old[0]
                continue
            order[low : low + len(old)] = old
            for place, stop in enumerate(old, low):
                at[stop] = place
        self.journal.clear()

    def turned(self, run: list[int]) -> list[int]:
        """Give ``run`` the other way round, with each stop's way turned too."""
        back, taken = self.back, self.taken
        for stop in run:
            option = taken[stop]
            if back[option] != option:
                self.take(stop, back[option])
        return run[::-1]

    def may_turn(self, low: int, high: int) -> bool:
        """Tell whether the run from place ``low`` to ``high`` may be made in the other order."""
        order, at = self.order, self.at
        if self.level[order[low]] != self.level[order[high]] or high - low > LONGEST:
            return False
        if self.is_free:
            return True
        return all(at[after] > high for stop in order[low:high] for after in self.later[stop])

    def may_move(self, first: int, last: int, slot: int) -> bool:
        """Tell whether the run first … last may go between the places ``slot`` and ``slot + 1``."""
        order, at, level = self.order, self.at, self.level
        if abs(slot - first) > LONGEST:
            return False
        run = order[first : last + 1]
        if slot > last:
            if level[order[slot]] > level[run[0]]:
                return False
            return self.is_free or not any(
                last < at[after] <= slot for stop in run for after in self.later[stop]
            )
        if level[order[slot + 1]] < level[run[-1]]:
            return False
        return self.is_free or not any(
            slot < at[before] < first for stop in run for before in self.before[stop]
        )

    def may_exchange(self, first: int, middle: int, end: int) -> bool:
        """Tell whether the runs first … middle − 1 and middle … end − 1 may change places."""
        order, at = self.order, self.at
        if self.level[order[first]] != self.level[order[end - 1]]:
            return False
        return self.is_free or not any(
            middle <= at[after] < end for stop in order[first:middle] for after in self.later[stop]
        )

    def turning_inside(self, low: int, high: int) -> float:
        """Give how much dearer the ways inside a run get when it is turned: 0 without one-ways."""
        if not self.has_one_way:
            return 0.0
        back, rows = self.back, self.rows
        taken = [self.taken[stop] for stop in self.order[low : high + 1]]
        there = sum(rows[a][b] for a, b in pairwise(taken))
        return sum(rows[back[b]][back[a]] for a, b in pairwise(taken)) - there
