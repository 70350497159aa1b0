"""Shortening a route, a move at a time: another way, a run turned around, a run moved.

Turning is 2-opt, moving Or-opt; a single stop is moved together with the choice of its way. Only
stops near one another are tried, and a stop is looked at again only when something beside it
changed.
"""

from __future__ import annotations

from collections.abc import Iterable

from cutpath.path.order.costs import Table, near_stops
from cutpath.path.order.route import Route
from cutpath.path.order.stops import Visit, Work

GAIN = 1e-7
"""What counts as shorter."""
_MOVED = 3
"""The most stops that are moved as one run."""

_Step = tuple[float, tuple[int, ...]]
"""What a move gains, and the stops to look at again."""


class Improver(Route):
    """A route that knows which stops are near one another."""

    def __init__(self, work: Work, table: Table, visits: list[Visit]) -> None:
        super().__init__(work, table, visits)
        self.near = [*near_stops(work, table), [], []]
        self._waits = [False] * len(self.at)

    def settle(self, stops: Iterable[int]) -> float:
        """Improve at ``stops``, and wherever that changes something; give what is gained."""
        waits, queue, gained = self._waits, list(stops), 0.0
        for stop in queue:
            waits[stop] = True
        while queue:
            stop = queue.pop()
            waits[stop] = False
            while step := self.improve_at(stop):
                gained += step[0]
                for touched in step[1]:
                    if not waits[touched] and touched != stop:
                        waits[touched] = True
                        queue.append(touched)
        return gained

    def improve_at(self, stop: int) -> _Step | None:
        """Make the first move found at ``stop`` that shortens the route."""
        place = self.at[stop]
        if place == len(self.order) - 1:
            return None
        if place == 0:
            return self._turn_after(stop, place)
        return (
            self._change_way(stop, place)
            or self._turn_after(stop, place)
            or self._turn_before(stop, place)
            or self._move_one(stop, place)
            or self._move_run(stop, place)
        )

    def _change_way(self, stop: int, place: int) -> _Step | None:
        mine = self.options[stop]
        if len(mine) == 1:
            return None
        rows, order, taken = self.rows, self.order, self.taken
        there, after = rows[taken[order[place - 1]]], taken[order[place + 1]]
        now = there[taken[stop]] + rows[taken[stop]][after]
        least, best = now - GAIN, -1
        for option in mine:
            cost = there[option] + rows[option][after]
            if cost < least:
                least, best = cost, option
        if best < 0:
            return None
        self.take(stop, best)
        return now - least, (order[place - 1], order[place + 1])

    def _turn_after(self, stop: int, place: int) -> _Step | None:
        """Leave ``stop`` for another by turning the run between: tail to tail."""
        rows, taken, back, at = self.rows, self.taken, self.back, self.at
        ahead = rows[taken[stop]]
        limit = ahead[taken[self.order[place + 1]]] - GAIN
        for other, reach in self.near[stop] if place else self._beside_start():
            if reach >= limit:
                return None
            if ahead[back[taken[other]]] >= limit:
                continue
            there = at[other]
            low, high = (place + 1, there) if place < there else (there + 1, place)
            if low < high and (step := self._turn(low, high)):
                return step
        return None

    def _turn_before(self, stop: int, place: int) -> _Step | None:
        """Reach ``stop`` from another by turning the run between: head to head."""
        rows, taken, back, at = self.rows, self.taken, self.back, self.at
        ahead = rows[back[taken[stop]]]
        limit = rows[taken[self.order[place - 1]]][taken[stop]] - GAIN
        for other, reach in self.near[stop]:
            if reach >= limit:
                break
            if ahead[taken[other]] >= limit:
                continue
            there = at[other]
            low, high = (place, there - 1) if place < there else (there, place - 1)
            if low < high and (step := self._turn(low, high)):
                return step
        return self._turn(place, place) if self.back[taken[stop]] != taken[stop] else None

    def _beside_start(self) -> list[tuple[int, float]]:
        # The start has no list of its own: the stops near the first one are tried.
        return [(other, 0.0) for other, _ in self.near[self.order[1]]]

    def _turn(self, low: int, high: int) -> _Step | None:
        rows, order, taken, back = self.rows, self.order, self.taken, self.back
        before, first, last = taken[order[low - 1]], taken[order[low]], taken[order[high]]
        after = taken[order[high + 1]]
        there = rows[before]
        gain = there[first] - there[back[last]] + rows[last][after] - rows[back[first]][after]
        if gain <= GAIN or not self.may_turn(low, high):
            return None
        gain -= self.turning_inside(low, high)
        if gain <= GAIN:
            return None
        touched = (order[low - 1], order[low], order[high], order[high + 1])
        self.place(low, self.turned(order[low : high + 1]))
        return gain, touched

    def _move_one(self, stop: int, place: int) -> _Step | None:
        rows, order, taken, at = self.rows, self.order, self.taken, self.at
        before, after = taken[order[place - 1]], taken[order[place + 1]]
        there = rows[before]
        freed = there[taken[stop]] + rows[taken[stop]][after] - there[after]
        if freed <= GAIN:
            return None
        mine = self.options[stop]
        for other, reach in self.near[stop]:
            if reach >= freed:
                return None
            for slot in (at[other] - 1, at[other]):
                if slot in (place - 1, place):
                    continue
                there, after = rows[taken[order[slot]]], taken[order[slot + 1]]
                limit = least = freed + there[after] - GAIN
                best = -1
                for option in mine:
                    cost = there[option] + rows[option][after]
                    if cost < least:
                        least, best = cost, option
                if best >= 0 and self.may_move(place, place, slot):
                    return self._moved_one(place, slot, best, limit - least + GAIN)
        return None

    def _moved_one(self, place: int, slot: int, option: int, gain: float) -> _Step:
        order = self.order
        stop = order[place]
        touched = (order[place - 1], order[place + 1], order[slot], order[slot + 1], stop)
        if option != self.taken[stop]:
            self.take(stop, option)
        self.shift(place, place, slot, [stop])
        return gain, touched

    def shift(self, first: int, last: int, slot: int, run: list[int]) -> None:
        """Put ``run``, the stops from place ``first`` to ``last``, behind place ``slot``."""
        if slot < first:
            self.place(slot + 1, run + self.order[slot + 1 : first])
        else:
            self.place(first, self.order[last + 1 : slot + 1] + run)

    def _move_run(self, stop: int, place: int) -> _Step | None:
        rows, order, taken = self.rows, self.order, self.taken
        end = len(order) - 1
        for size in range(2, _MOVED + 1):
            for first in (place, place - size + 1):
                last = first + size - 1
                if first < 1 or last >= end:
                    continue
                there, after = rows[taken[order[first - 1]]], taken[order[last + 1]]
                freed = there[taken[order[first]]] + rows[taken[order[last]]][after] - there[after]
                if freed > GAIN and (step := self._better_slot(stop, first, last, freed)):
                    return step
        return None

    def _better_slot(self, stop: int, first: int, last: int, freed: float) -> _Step | None:
        """Move the run beside a stop near its end ``stop``, on either side of that."""
        order, at = self.order, self.at
        stop_is_first = order[first] == stop
        for other, reach in self.near[stop]:
            if reach >= freed:
                return None
            there = at[other]
            if first <= there <= last:
                continue
            # Right after the other the run must begin with ``stop``; right before it, end with it.
            for slot, turned in ((there, not stop_is_first), (there - 1, stop_is_first)):
                if first - 1 <= slot <= last:
                    continue
                if step := self._moved_run(first, last, slot, freed, turned=turned):
                    return step
        return None

    def _moved_run(
        self, first: int, last: int, slot: int, freed: float, *, turned: bool
    ) -> _Step | None:
        rows, order, taken, back = self.rows, self.order, self.taken, self.back
        head, tail = taken[order[first]], taken[order[last]]
        if turned:
            head, tail = back[tail], back[head]
        there, after = rows[taken[order[slot]]], taken[order[slot + 1]]
        gain = freed - there[head] - rows[tail][after] + there[after]
        if gain <= GAIN or not self.may_move(first, last, slot):
            return None
        if turned:
            gain -= self.turning_inside(first, last)
            if gain <= GAIN or not self.may_turn(first, last):
                return None
        run = order[first : last + 1]
        touched = (order[first - 1], order[last + 1], order[slot], order[slot + 1], run[0], run[-1])
        self.shift(first, last, slot, self.turned(run) if turned else run)
        return gain, touched
