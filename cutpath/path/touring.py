"""The shortest way through stops that may each be entered in several ways.

A stop has k ways, each an entry and an exit point. The way is open: it begins at a given place and
ends anywhere. Greedy first; then 2-opt and Or-opt moves on one point a stop, over near neighbours
only; between those, the best ways for the order by dynamic programming. No clock and no chance:
the same stops give the same way. Memory grows with stops × neighbours, never stops².
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.points import Ints, Point, Points

_NEAR = 10
_LONGEST_MOVED = 3
_BLOCK = 512


@dataclass(frozen=True, slots=True, eq=False)
class Stop:
    """Somewhere to go: ``entries`` and ``exits``, (k, 2) each, way i from entry i to exit i."""

    entries: Points
    exits: Points


Visit = tuple[int, int]
"""Which stop, and which of its ways."""


def shortest_tour(stops: Sequence[Stop], start: Point, rounds: int = 3) -> list[Visit]:
    """Give the order and ways to visit all ``stops`` from ``start`` with little travel between.

    ``rounds`` bounds the effort. Never longer than the greedy way or the order given.
    """
    if not stops:
        return []
    given = best_ways(stops, list(range(len(stops))), start)
    best = min(
        (given, best_ways(stops, _greedy(stops, start), start)),
        key=lambda w: _cost(stops, w, start),
    )
    cost = _cost(stops, best, start)
    for _ in range(rounds if len(stops) > 2 else 0):
        points = np.array([(stops[i].entries[w] + stops[i].exits[w]) / 2 for i, w in best])
        order = _improved(np.concatenate([start[None], points]))
        tried = best_ways(stops, [best[i - 1][0] for i in order[1:]], start)
        tried_cost = _cost(stops, tried, start)
        if tried_cost >= cost - 1e-9:
            break
        best, cost = tried, tried_cost
    return best


def travel(stops: Sequence[Stop], visits: Sequence[Visit], start: Point) -> float:
    """Give the way between the stops in mm, from ``start`` to the last entry."""
    return _cost(stops, visits, start)


def _cost(stops: Sequence[Stop], visits: Sequence[Visit], start: Point) -> float:
    if not visits:
        return 0.0
    entries = np.array([stops[i].entries[w] for i, w in visits])
    exits = np.array([start, *(stops[i].exits[w] for i, w in visits[:-1])])
    return float(np.hypot(*(entries - exits).T).sum())


def best_ways(stops: Sequence[Stop], order: Sequence[int], start: Point) -> list[Visit]:
    """Choose each stop's way for a fixed ``order`` so that travel is least (exact, by Viterbi)."""
    reached = np.zeros(1)
    exits = start[None]
    back: list[Ints] = []
    for index in order:
        stop = stops[index]
        gap = np.hypot(*(stop.entries[:, None] - exits[None]).transpose(2, 0, 1)) + reached
        choice = gap.argmin(axis=1)
        back.append(choice)
        reached = gap[np.arange(len(choice)), choice]
        exits = stop.exits
    way = int(reached.argmin())
    ways: list[int] = []
    for choice in reversed(back):
        ways.append(way)
        way = int(choice[way])
    return list(zip(order, reversed(ways), strict=True))


def _greedy(stops: Sequence[Stop], start: Point) -> list[int]:
    """Go to the nearest entry each time."""
    owner = np.repeat(np.arange(len(stops)), [len(stop.entries) for stop in stops])
    entries = np.concatenate([stop.entries for stop in stops])
    exits = np.concatenate([stop.exits for stop in stops])
    first = np.searchsorted(owner, np.arange(len(stops) + 1))
    open_ = np.ones(len(entries), dtype=bool)
    x, y = entries[:, 0].copy(), entries[:, 1].copy()
    order: list[int] = []
    here = start
    for _ in stops:
        gap = (x - here[0]) ** 2 + (y - here[1]) ** 2
        gap[~open_] = np.inf
        nearest = int(gap.argmin())
        stop = int(owner[nearest])
        order.append(stop)
        here = exits[nearest]
        open_[first[stop] : first[stop + 1]] = False
        if len(order) % 1024 == 0:  # forget what is done
            x[~open_] = np.inf
    return order


def _neighbours(points: Points) -> list[list[int]]:
    """Give the nearest few of each point, in blocks so that memory stays small."""
    count = min(_NEAR, len(points) - 1)
    found: list[list[int]] = []
    for low in range(0, len(points), _BLOCK):
        block = points[low : low + _BLOCK]
        gap = (block[:, None, 0] - points[None, :, 0]) ** 2
        gap += (block[:, None, 1] - points[None, :, 1]) ** 2
        gap[np.arange(len(block)), low + np.arange(len(block))] = np.inf
        near = np.argpartition(gap, count - 1, axis=1)[:, :count]
        ranked = np.take_along_axis(gap, near, axis=1).argsort(axis=1, kind="stable")
        found += np.take_along_axis(near, ranked, axis=1).tolist()
    return found


def _improved(points: Points) -> list[int]:
    """Improve the way 0, 1, 2 … through ``points``; 0 stays first. Gives the new order."""
    tour = _Tour(points)
    queue = list(range(len(points)))
    waiting = set(queue)
    cursor = 0
    limit = 60 * len(points) + 1000
    while cursor < len(queue) and cursor < limit:
        city = queue[cursor]
        cursor += 1
        waiting.discard(city)
        touched = tour.improve_at(city)
        for other in touched:
            if other not in waiting:
                waiting.add(other)
                queue.append(other)
    return tour.order


class _Tour:
    """An open way with its positions, and the two moves that shorten it."""

    def __init__(self, points: Points) -> None:
        self.x: list[float] = points[:, 0].tolist()
        self.y: list[float] = points[:, 1].tolist()
        self.order = list(range(len(points)))
        self.at = list(range(len(points)))
        self.near = _neighbours(points)

    def gap(self, a: int, b: int) -> float:
        dx, dy = self.x[a] - self.x[b], self.y[a] - self.y[b]
        return float((dx * dx + dy * dy) ** 0.5)

    def link(self, position: int) -> float:
        """Length from the stop at ``position`` to the next; 0 from the last."""
        order = self.order
        return self.gap(order[position], order[position + 1]) if position + 1 < len(order) else 0.0

    def improve_at(self, city: int) -> list[int]:
        """Make the first move at ``city`` that shortens the way; give what to look at again."""
        return self._two_opt(city) or self._or_opt(city)

    def _two_opt(self, a: int) -> list[int]:
        order, at, last = self.order, self.at, len(self.order) - 1
        i = at[a]
        ahead, behind = self.link(i), self.link(i - 1) if i > 0 else 0.0
        for c in self.near[a]:
            direct = self.gap(a, c)
            if direct >= ahead and direct >= behind:
                break
            j = at[c]
            low, high = (i, j) if i < j else (j, i)
            # Join low to high and their followers: turn low+1 … high around.
            if self._gain_after(low, high) < -1e-9:
                touched = [order[low], order[low + 1], order[high]]
                touched += [order[high + 1]] if high < last else []
                self._turn(low + 1, high)
                return touched
            # Join their forerunners and them: turn low … high − 1 around.
            if low > 0 and self._gain_before(low, high) < -1e-9:
                touched = [order[low - 1], order[low], order[high - 1], order[high]]
                self._turn(low, high - 1)
                return touched
        return []

    def _gain_after(self, low: int, high: int) -> float:
        order = self.order
        after = self.gap(order[low + 1], order[high + 1]) if high + 1 < len(order) else 0.0
        return self.gap(order[low], order[high]) + after - self.link(low) - self.link(high)

    def _gain_before(self, low: int, high: int) -> float:
        order = self.order
        new = self.gap(order[low - 1], order[high - 1]) + self.gap(order[low], order[high])
        return new - self.link(low - 1) - self.link(high - 1)

    def _turn(self, low: int, high: int) -> None:
        part = self.order[low : high + 1][::-1]
        self.order[low : high + 1] = part
        for offset, city in enumerate(part):
            self.at[city] = low + offset

    def _or_opt(self, a: int) -> list[int]:
        """Move a short run that begins or ends at ``a`` between two neighbours elsewhere."""
        i = self.at[a]
        for size in range(1, _LONGEST_MOVED + 1):
            for first in {i, i - size + 1}:
                last = first + size - 1
                if first < 1 or last >= len(self.order):
                    continue
                touched = self._moved_run(first, last)
                if touched:
                    return touched
        return []

    def _moved_run(self, first: int, last: int) -> list[int]:
        order, at, end = self.order, self.at, len(self.order) - 1
        head, tail = order[first], order[last]
        before = order[first - 1]
        after = order[last + 1] if last < end else None
        freed = self.link(first - 1) + self.link(last)
        if after is not None:
            freed -= self.gap(before, after)
        for near_end, far_end in ((head, tail), (tail, head)):
            for c in self.near[near_end]:
                if self.gap(near_end, c) >= freed:
                    break
                j = at[c]
                if first <= j <= last:
                    continue
                for slot in (j, j - 1):  # the link slot → slot + 1 takes the run
                    if slot < 0 or first - 1 <= slot <= last:
                        continue
                    left = order[slot]
                    right = order[slot + 1] if slot < end else None
                    inner, outer = (near_end, far_end) if c == left else (far_end, near_end)
                    cost = self.gap(left, inner) - self.link(slot)
                    cost += self.gap(outer, right) if right is not None else 0.0
                    if cost < freed - 1e-9:
                        self._put(first, last, slot, turned=inner == tail)
                        touched = [head, tail, before, left]
                        return touched + [city for city in (after, right) if city is not None]
        return []

    def _put(self, first: int, last: int, slot: int, *, turned: bool) -> None:
        run = self.order[first : last + 1]
        if turned:
            run.reverse()
        if slot < first:
            part = run + self.order[slot + 1 : first]
            low = slot + 1
        else:
            part = self.order[last + 1 : slot + 1] + run
            low = first
        self.order[low : low + len(part)] = part
        for offset, city in enumerate(part):
            self.at[city] = low + offset
