"""Waits: stops that lie near one another and need time to cool between.

Starting as early as possible is never worse: a later start of one only puts off the rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from cutpath.geometry.points import Floats, Point
from cutpath.path.order.improving import GAIN, Improver
from cutpath.path.order.stops import Measure, Visit, Work, flown

_SWEEPS = 3
_MOST_SPREAD = 400
"""Stops up to which every place is tried for those that would wait."""
_HALVINGS = 40

Cools = Mapping[int, Sequence[tuple[int, float]]]
"""For each stop, the others that it must keep apart from, and by how many seconds."""


def cools_of(work: Work) -> dict[int, list[tuple[int, float]]]:
    """Give both sides of every pair that must cool."""
    out: dict[int, list[tuple[int, float]]] = {}
    for each in work.cooling:
        out.setdefault(each.first, []).append((each.second, each.seconds))
        out.setdefault(each.second, []).append((each.first, each.seconds))
    return out


def waits(work: Work, visits: Sequence[Visit]) -> Floats:
    """Give the seconds to wait before each of ``visits``, (n,)."""
    out = np.zeros(len(visits))
    if not work.cooling or not visits:
        return out
    entries = np.array([work.stops[stop].entries[way] for stop, way in visits])
    exits = np.array([work.start, *(work.stops[stop].exits[way] for stop, way in visits[:-1])])
    legs = flown(exits, entries, work.measure)
    tools = np.array([work.stops[stop].tool for stop, _ in visits])
    legs[1:] += work.change * (tools[1:] != tools[:-1])
    cools, now = cools_of(work), 0.0
    done: dict[int, float] = {}
    for index, (stop, _) in enumerate(visits):
        ready = max((done[b] + s for b, s in cools.get(stop, ()) if b in done), default=0.0)
        arrival = now + float(legs[index])
        out[index] = max(0.0, ready - arrival)
        now = max(arrival, ready) + work.stops[stop].seconds
        done[stop] = now
    return out


class Waiting:
    """What a route under change waits, beyond what its ways already hold."""

    def __init__(self, work: Work) -> None:
        self.cools = cools_of(work)
        self.seconds = [*(stop.seconds for stop in work.stops), 0.0, 0.0]

    def __call__(self, route: Improver) -> float:
        """Give the waits in seconds."""
        rows, taken, cools, seconds = route.rows, route.taken, self.cools, self.seconds
        done: dict[int, float] = {}
        now = waited = 0.0
        here = taken[route.order[0]]
        for stop in route.order[1:]:
            option = taken[stop]
            now += rows[here][option]
            here = option
            mine = cools.get(stop)
            if mine:
                for other, apart in mine:
                    ready = done.get(other, -apart) + apart
                    if ready > now:
                        waited += ready - now
                        now = ready
                done[stop] = now = now + seconds[stop]
            else:
                now += seconds[stop]
        return waited

    def spread(self, route: Improver) -> None:
        """Move stops that cool to wherever the whole gets shorter, waits and all."""
        if len(route.order) > _MOST_SPREAD:
            return
        best = route.cost() + self(route)
        for _ in range(_SWEEPS):
            before = best
            for stop in self.cools:
                best = self._moved(route, stop, best)
            if best > before - GAIN:
                return

    def _moved(self, route: Improver, stop: int, best: float) -> float:
        for slot in range(len(route.order) - 1):
            place = route.at[stop]
            if slot in (place - 1, place) or not route.may_move(place, place, slot):
                continue
            route.journal.clear()
            route.shift(place, place, slot, [stop])
            cost = route.cost() + self(route)
            if cost < best - GAIN:
                best = cost
            else:
                route.undo()
        return best


def rest_place(
    leave: Point, arrive: Point, rest: Point, wait: float, measure: Measure
) -> tuple[Point, float]:
    """Give how far towards ``rest`` the head may go during ``wait`` seconds, and what is left.

    The way there and on to ``arrive`` takes no longer than the direct way and the wait.
    """
    allowed = wait + float(flown(leave, arrive, measure))

    def left(share: float) -> float:
        at = leave + share * (rest - leave)
        return allowed - float(flown(leave, at, measure)) - float(flown(at, arrive, measure))

    if left(1.0) >= 0:
        return rest, left(1.0)
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if left(middle) >= 0 else (low, middle)
    return leave + low * (rest - leave), max(left(low), 0.0)
