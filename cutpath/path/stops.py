"""Stops that may be entered in several ways, what the way between them costs, and the best ways.

A stop has k ways, each an entry and an exit point: an open stroke has two, a closed one as many as
it has places to begin. A route is open: it begins at a given place and ends anywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.points import Floats, Ints, Point, Points


@dataclass(frozen=True, slots=True, eq=False)
class Stop:
    """Somewhere to go: ``entries`` and ``exits``, (k, 2) each, way i from entry i to exit i."""

    entries: Points
    exits: Points


Visit = tuple[int, int]
"""Which stop, and which of its ways."""


@dataclass(frozen=True, slots=True)
class Measure:
    """What it costs to travel by (dx, dy): ``one`` for two numbers, ``many`` for arrays of them.

    Both must agree, cost the same there and back, and never fall as the way grows.
    """

    one: Callable[[float, float], float]
    many: Callable[[Floats, Floats], Floats]


def _straight(dx: float, dy: float) -> float:
    return float((dx * dx + dy * dy) ** 0.5)


DISTANCE = Measure(_straight, np.hypot)
"""Straight travel in mm."""


def travel(
    stops: Sequence[Stop], visits: Sequence[Visit], start: Point, measure: Measure = DISTANCE
) -> float:
    """Give what the ways between the stops cost, from ``start`` to the last entry."""
    if not visits:
        return 0.0
    entries = np.array([stops[i].entries[w] for i, w in visits])
    exits = np.array([start, *(stops[i].exits[w] for i, w in visits[:-1])])
    return float(measure.many(*(entries - exits).T).sum())


def best_ways(
    stops: Sequence[Stop], order: Sequence[int], start: Point, measure: Measure = DISTANCE
) -> list[Visit]:
    """Choose each stop's way for a fixed ``order`` so that travel is least (exact, by Viterbi)."""
    reached = np.zeros(1)
    exits = start[None]
    back: list[Ints] = []
    for index in order:
        stop = stops[index]
        across = stop.entries[:, None] - exits[None]
        cost = measure.many(across[..., 0], across[..., 1]) + reached
        choice = cost.argmin(axis=1)
        back.append(choice)
        reached = cost[np.arange(len(choice)), choice]
        exits = stop.exits
    way = int(reached.argmin())
    ways: list[int] = []
    for choice in reversed(back):
        ways.append(way)
        way = int(choice[way])
    return list(zip(order, reversed(ways), strict=True))
