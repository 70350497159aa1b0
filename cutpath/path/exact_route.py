"""The very best route for a handful of stops, stage after stage, by dynamic programming.

Over all subsets of a stage's stops and all ways of its last one (M. Held and R. M. Karp, "A dynamic
programming approach to sequencing problems", 1962); what a stage costs by its last way is where
the next stage begins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.points import Floats, Ints, Point, Points
from cutpath.path.stops import DISTANCE, Measure, Stop, Visit

MOST = 8
"""Stops in one stage: 2⁸ subsets."""


@dataclass(frozen=True, slots=True, eq=False)
class _Solved:
    """A stage's least costs by set and last option, and the option before; −1 − p at its start."""

    owner: Ints
    first: Ints
    cost: Floats
    parent: Ints

    def visits(self, option: int) -> tuple[list[Visit], int]:
        """Give the visits that end with ``option``, and which earlier end they began from."""
        subset = len(self.cost) - 1
        found: list[Visit] = []
        while option >= 0:
            stop = int(self.owner[option])
            found.append((stop, option - int(self.first[stop])))
            option, subset = int(self.parent[subset, option]), subset & ~(1 << stop)
        return found[::-1], -1 - option


def exact_routes(
    stages: Sequence[Sequence[Stop]], start: Point, measure: Measure = DISTANCE
) -> list[list[Visit]]:
    """Give the cheapest visits of all ``stages``, in their order, from ``start``.

    Every stage must have from one to ``MOST`` stops.
    """
    ends, reached = start[None], np.zeros(1)
    solved: list[_Solved] = []
    for stops in stages:
        stage = _solve(stops, ends, reached, measure)
        ends, reached = np.concatenate([stop.exits for stop in stops]), stage.cost[-1]
        solved.append(stage)
    routes: list[list[Visit]] = []
    end = int(reached.argmin())
    for stage in reversed(solved):
        visits, end = stage.visits(end)
        routes.append(visits)
    return routes[::-1]


def _solve(stops: Sequence[Stop], ends: Points, reached: Floats, measure: Measure) -> _Solved:
    counts = [len(stop.entries) for stop in stops]
    owner = np.repeat(np.arange(len(stops)), counts)
    entries = np.concatenate([stop.entries for stop in stops])
    exits = np.concatenate([stop.exits for stop in stops])
    between = _costs(exits, entries, measure)
    subsets = 1 << len(stops)
    cost = np.full((subsets, len(owner)), np.inf)
    parent = np.zeros((subsets, len(owner)), dtype=np.int64)
    first_legs = reached[:, None] + _costs(ends, entries, measure)
    for option, stop in enumerate(owner.tolist()):
        best = int(first_legs[:, option].argmin())
        cost[1 << stop, option], parent[1 << stop, option] = first_legs[best, option], -1 - best
    for subset in range(1, subsets):
        onward = cost[subset][:, None] + between
        best_before = onward.argmin(axis=0)
        least = onward[best_before, np.arange(len(owner))]
        for stop in range(len(stops)):
            larger = subset | 1 << stop
            if larger == subset:
                continue
            better = (owner == stop) & (least < cost[larger])
            cost[larger, better], parent[larger, better] = least[better], best_before[better]
    first = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.int64)
    return _Solved(owner, first, cost, parent)


def _costs(origins: Points, targets: Points, measure: Measure) -> Floats:
    across = targets[None] - origins[:, None]
    return measure.many(across[..., 0], across[..., 1])
