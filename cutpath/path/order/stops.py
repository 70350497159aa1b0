"""What must be visited, in which ways, what the way between costs, and what comes before what.

A stop has k ways, each an entry and an exit point: an open stroke has two, a closed one as many as
it has places to begin. A route begins at a given place and ends anywhere, or where it must.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.points import Floats, Ints, Point, Points
from cutpath.kinematics import Kinematics


@dataclass(frozen=True, slots=True, eq=False)
class Stop:
    """Somewhere to work: ``entries`` and ``exits``, (k, 2) each, way i from entry i to exit i.

    ``tool`` is the number of the tool; all stops of one ``level`` come before any of a higher one;
    ``after`` are the stops, by number, that must be done before; ``seconds`` is its own time.
    """

    entries: Points
    exits: Points
    tool: int = 0
    level: int = 0
    after: tuple[int, ...] = ()
    seconds: float = 0.0


Visit = tuple[int, int]
"""Which stop, and which of its ways."""


@dataclass(frozen=True, slots=True)
class Measure:
    """What travel costs: ``one`` for a distance in mm, ``many`` for an array of them.

    Both must agree, be 0 at 0, never fall, and never rise faster further on.
    """

    one: Callable[[float], float]
    many: Callable[[Floats], Floats]


def _same(distances: Floats) -> Floats:
    return distances


DISTANCE = Measure(float, _same)
"""Straight travel in mm."""


def travel_clock(rates: Kinematics) -> Measure:
    """Give the seconds that straight travel takes from rest to rest."""
    speed, acceleration = rates.travel_speed, rates.acceleration
    ramp, whole = speed**2 / acceleration, speed / acceleration

    def one(distance: float) -> float:
        if distance < ramp:
            return 2 * math.sqrt(distance / acceleration)
        return distance / speed + whole

    return Measure(one, rates.travel_time)


@dataclass(frozen=True, slots=True)
class Cooling:
    """Two stops that lie near each other: ``seconds`` must pass between them, either way round."""

    first: int
    second: int
    seconds: float


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """All that is to be ordered, and what it costs.

    ``start`` is where the route begins, ``end`` where it must end (None: anywhere). ``change`` is
    what another tool costs, in the unit of ``measure``; with ``cooling`` that unit is the second.
    """

    stops: Sequence[Stop]
    start: Point
    end: Point | None = None
    measure: Measure = DISTANCE
    change: float = 0.0
    cooling: tuple[Cooling, ...] = ()


def flown(origins: Points, targets: Points, measure: Measure) -> Floats:
    """Give what each way costs from (..., 2) ``origins`` to ``targets``, which may broadcast."""
    across = targets - origins
    return np.asarray(measure.many(np.hypot(across[..., 0], across[..., 1])))


def travel(work: Work, visits: Sequence[Visit]) -> float:
    """Give what the ways between the stops and the changes of tools cost, without waits.

    The first tool is picked for nothing: whatever the order, one must be.
    """
    if not visits:
        return 0.0
    entries = [work.stops[stop].entries[way] for stop, way in visits]
    exits = [work.start, *(work.stops[stop].exits[way] for stop, way in visits)]
    if work.end is not None:
        entries.append(work.end)
    count = len(entries)
    cost = float(flown(np.array(exits[:count]), np.array(entries), work.measure).sum())
    tools = np.array([work.stops[stop].tool for stop, _ in visits])
    return cost + work.change * int((tools[1:] != tools[:-1]).sum())


def best_ways(work: Work, order: Sequence[int]) -> list[Visit]:
    """Choose each stop's way for a fixed ``order`` so that travel is least (exact, by Viterbi)."""
    if not order:
        return []
    reached, exits = np.zeros(1), work.start[None]
    back: list[Ints] = []
    for index in order:
        stop = work.stops[index]
        cost = flown(exits, stop.entries[:, None], work.measure) + reached
        choice = cost.argmin(axis=1)
        back.append(choice)
        reached = cost[np.arange(len(choice)), choice]
        exits = stop.exits
    if work.end is not None:
        reached = reached + flown(exits, work.end, work.measure)
    way = int(reached.argmin())
    ways: list[int] = []
    for choice in reversed(back):
        ways.append(way)
        way = int(choice[way])
    return list(zip(order, reversed(ways), strict=True))
