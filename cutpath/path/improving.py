"""Shortening a route by turning runs of it around (2-opt) and moving short runs (Or-opt).

Each stop has a head, where it is entered, and a tail, where it is left; turned around, they change
places. Only stops near to one another are tried, and a stop is looked at again only when something
beside it changed. When nothing helps any more, two neighbouring runs are exchanged here and there,
and what cannot be mended to something shorter is put back (iterated local search: H. Lourenço,
O. Martin and T. Stützle, 2003). No clock and no chance: the same route in, the same route out.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

import numpy as np

from cutpath.geometry.neighbours import nearest_few
from cutpath.geometry.points import Points
from cutpath.path.stops import DISTANCE, Measure

_NEAR = 10
_MOVED = 3
"""The most stops that are moved as one run."""
_LONGEST_TURN = 30_000
"""The most stops whose places may change in one move, so that a move's cost has a bound."""
_GAIN = 1e-9
_LOOKS = 60
"""How often, on average, a stop may be looked at."""
_GOLDEN = 0.6180339887498949
"""Multiples of it, less their whole part, spread evenly without repeating (H. Weyl, 1916)."""
_LONGEST_EXCHANGED = 12

_Slots = tuple[int, int, int, bool]
"""First and last place of a run, the place it goes behind, and whether it is turned around."""
_Near = tuple[int, float]
"""A stop, and the least that a way to it can cost, from either end to either end."""
_Lists = tuple[list[int], list[int], list[tuple[float, float]], list[tuple[float, float]]]


def improved(
    heads: Points, tails: Points, start: Points, trials: int, measure: Measure = DISTANCE
) -> list[int]:
    """Give a shorter order of the stops 0 … n − 1, which come in the order of the route so far.

    ``heads`` and ``tails`` are (n, 2), where each is entered and left; ``start`` (1, 2).
    ``trials`` is how many exchanges are tried in the end.
    """
    route = _Route(np.concatenate([start, heads]), np.concatenate([start, tails]), measure)
    route.settle(range(len(route.order)))
    if len(route.order) > 3:
        _try_exchanges(route, trials)
    return [stop - 1 for stop in route.order[1:]]


def _try_exchanges(route: _Route, trials: int) -> None:
    longest = min(_LONGEST_EXCHANGED, (len(route.order) - 1) // 2)
    for trial in range(1, trials + 1):
        kept, saved = route.copied(), route.saved
        one = 1 + int(trial * _GOLDEN**2 % 1 * longest)
        other = 1 + int(trial * _GOLDEN**3 % 1 * longest)
        room = len(route.order) - one - other
        place = 1 + int(trial * _GOLDEN % 1 * room)
        route.settle(route.exchange(place, place + one, place + one + other))
        if route.saved < saved - _GAIN:
            route.put_back(kept, saved)


class _Route:
    """An open route. Stop 0 is where it starts and never moves."""

    def __init__(self, heads: Points, tails: Points, measure: Measure) -> None:
        self.cost = measure.one
        self.head: list[tuple[float, float]] = [(x, y) for x, y in heads.tolist()]
        self.tail: list[tuple[float, float]] = [(x, y) for x, y in tails.tolist()]
        self.order = list(range(len(heads)))
        self.at = list(range(len(heads)))
        self.near = _near_stops(heads, tails, measure)
        self.saved = 0.0
        self._is_waiting = [False] * len(self.order)

    def settle(self, stops: Iterable[int]) -> None:
        """Improve at ``stops``, and wherever that changes something, until nothing helps."""
        waiting = deque(stops)
        for stop in waiting:
            self._is_waiting[stop] = True
        looks = _LOOKS * len(self.order)
        while waiting:
            stop = waiting.popleft()
            self._is_waiting[stop] = False
            looks -= 1
            for touched in self.improve_at(stop) if looks > 0 else ():
                if not self._is_waiting[touched]:
                    self._is_waiting[touched] = True
                    waiting.append(touched)

    def copied(self) -> _Lists:
        """Give what ``put_back`` needs to undo all that is done from now on."""
        return self.order.copy(), self.at.copy(), self.head.copy(), self.tail.copy()

    def put_back(self, kept: _Lists, saved: float) -> None:
        """Undo all that was done since ``copied``."""
        self.order, self.at, self.head, self.tail = kept
        self.saved = saved

    def exchange(self, first: int, middle: int, end: int) -> list[int]:
        """Let the runs first … middle − 1 and middle … end − 1 change places; give their ends."""
        places = (first - 1, middle - 1, end - 1)
        before = sum(self.gap(place, place + 1) for place in places)
        self._place(first, self.order[middle:end] + self.order[first:middle])
        middle = first + end - middle
        places = (first - 1, middle - 1, end - 1)
        self.saved += before - sum(self.gap(place, place + 1) for place in places)
        return list(dict.fromkeys(self._around(*places, *(place + 1 for place in places))))

    def gap(self, a: int, b: int) -> float:
        """Cost from the tail of the stop at place ``a`` to the head of that at ``b``."""
        if b >= len(self.order):
            return 0.0
        return self._way(self.tail[self.order[a]], self.head[self.order[b]])

    def _tails(self, a: int, b: int) -> float:
        return self._way(self.tail[self.order[a]], self.tail[self.order[b]])

    def _heads(self, a: int, b: int) -> float:
        if max(a, b) >= len(self.order):
            return 0.0
        return self._way(self.head[self.order[a]], self.head[self.order[b]])

    def _way(self, p: tuple[float, float], q: tuple[float, float]) -> float:
        return self.cost(q[0] - p[0], q[1] - p[1])

    def improve_at(self, stop: int) -> list[int]:
        """Make the first move at ``stop`` that shortens the route; give the stops to look at."""
        return self._turn_at(stop) or self._move_at(stop)

    def _turn_at(self, stop: int) -> list[int]:
        i = self.at[stop]
        # One of the two new ways must be shorter than one of the old: that bounds the search.
        longest = max(self.gap(i - 1, i) if i > 0 else 0.0, self.gap(i, i + 1))
        for other, reach in self.near[stop]:
            if reach >= longest:
                break
            j = self.at[other]
            low, high = (i, j) if i < j else (j, i)
            if high - low > _LONGEST_TURN:
                continue
            # Tail of low to tail of high: the run low + 1 … high is turned around.
            gain = self._gain_by_turning(low + 1, high)
            if gain > _GAIN:
                return self._turn(low + 1, high, gain)
            # Head of low to head of high: the run low … high − 1 is turned around.
            gain = self._gain_by_turning(low, high - 1) if low > 0 else 0.0
            if gain > _GAIN:
                return self._turn(low, high - 1, gain)
        gain = self._gain_by_turning(i, i) if i > 0 else 0.0
        return self._turn(i, i, gain) if gain > _GAIN else []

    def _gain_by_turning(self, low: int, high: int) -> float:
        before = self.gap(low - 1, low) + self.gap(high, high + 1)
        return before - self._tails(low - 1, high) - self._heads(low, high + 1)

    def _turn(self, low: int, high: int, gain: float) -> list[int]:
        self.saved += gain
        self._place(low, self._turned(self.order[low : high + 1]))
        return self._around(low - 1, low, high, high + 1)

    def _turned(self, run: list[int]) -> list[int]:
        for stop in run:
            self.head[stop], self.tail[stop] = self.tail[stop], self.head[stop]
        return run[::-1]

    def _place(self, low: int, stops: list[int]) -> None:
        self.order[low : low + len(stops)] = stops
        for place, stop in enumerate(stops, start=low):
            self.at[stop] = place

    def _around(self, *places: int) -> list[int]:
        return [self.order[place] for place in places if 0 <= place < len(self.order)]

    def _move_at(self, stop: int) -> list[int]:
        i = self.at[stop]
        for size in range(1, _MOVED + 1):
            for first in {i, i - size + 1}:
                last = first + size - 1
                if first < 1 or last >= len(self.order):
                    continue
                freed = self.gap(first - 1, first) + self.gap(last, last + 1)
                if last + 1 < len(self.order):
                    freed -= self.gap(first - 1, last + 1)
                if freed <= _GAIN:
                    continue
                found = self._better_slot(first, last, freed)
                if found is not None:
                    slots, cost = found
                    self.saved += freed - cost
                    return self._move(*slots)
        return []

    def _better_slot(self, first: int, last: int, freed: float) -> tuple[_Slots, float] | None:
        """Give a place beside a near stop where the run adds less than is freed, and how much."""
        end = len(self.order)
        for stop in {self.order[first], self.order[last]}:
            for other, reach in self.near[stop]:
                if reach >= freed:
                    break
                at = self.at[other]
                for slot in (at, at - 1):
                    if slot < 0 or first - 1 <= slot <= last or abs(slot - first) > _LONGEST_TURN:
                        continue
                    after = slot + 1
                    opened = self.gap(slot, after) + freed - _GAIN
                    cost = self.gap(slot, first)
                    if cost < opened:
                        cost += self.gap(last, after) if after < end else 0.0
                        if cost < opened:
                            return (first, last, slot, False), cost - self.gap(slot, after)
                    cost = self._tails(slot, last)
                    if cost < opened:
                        cost += self._heads(first, after)
                        if cost < opened:
                            return (first, last, slot, True), cost - self.gap(slot, after)
        return None

    def _move(self, first: int, last: int, slot: int, turned: bool) -> list[int]:
        size = last - first + 1
        run = self.order[first : last + 1]
        run = self._turned(run) if turned else run
        if slot < first:
            self._place(slot + 1, run + self.order[slot + 1 : first])
            return self._around(slot, slot + 1, slot + size, slot + size + 1, last, last + 1)
        self._place(first, self.order[last + 1 : slot + 1] + run)
        return self._around(first - 1, first, slot - size, slot - size + 1, slot, slot + 1)


def _near_stops(heads: Points, tails: Points, measure: Measure) -> list[list[_Near]]:
    """Give for each stop those with an end near one of its own, the nearest ends first."""
    size = len(heads)
    long = np.flatnonzero((heads != tails).any(axis=1))
    owner = np.concatenate([np.arange(size), long])
    found = nearest_few(np.concatenate([heads, tails[long]]), _NEAR)
    stops = np.repeat(owner, found.shape[1])
    others = owner[found.ravel()]
    pairs = np.unique(np.column_stack([stops, others])[stops != others], axis=0)
    mine, theirs = pairs.T
    reach = np.full(len(pairs), np.inf)
    for own_ends in (heads, tails):
        for other_ends in (heads, tails):
            way = other_ends[theirs] - own_ends[mine]
            reach = np.minimum(reach, measure.many(way[:, 0], way[:, 1]))
    near: list[list[_Near]] = [[] for _ in range(size)]
    for index in np.lexsort((theirs, reach)).tolist():
        near[int(mine[index])].append((int(theirs[index]), float(reach[index])))
    return near
