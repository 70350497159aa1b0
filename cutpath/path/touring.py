"""The shortest route through stages of stops: all of one stage before any of the next.

Up to eight stops a stage are solved exactly, all stages together. Larger ones begin with the better
of two routes, the nearest stop first and the order given; runs are turned and moved while that
shortens it, and the best ways through each stop are chosen anew for the order found. Memory grows
with stops × neighbours, time with little more. No clock and no chance.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.points import Point
from cutpath.path.exact_route import MOST, exact_routes
from cutpath.path.improving import improved
from cutpath.path.nearest_first import nearest_first
from cutpath.path.stops import DISTANCE, Measure, Stop, Visit, best_ways, travel

_WORTH_A_ROUND = 1e-3
_TRIALS = 150
"""Exchanges tried a round at most: some tenths of a second."""
_TRIALS_TIMES_STOPS = 6000
"""Each exchange costs the more, the more stops there are."""


def shortest_routes(
    stages: Sequence[Sequence[Stop]], start: Point, rounds: int = 4, measure: Measure = DISTANCE
) -> list[list[Visit]]:
    """Give the visits of each stage, in order, with little travel from ``start`` to the last.

    ``rounds`` bounds the effort; with 1 nothing is tried that may not help. Never costs more than
    the order given nor than going to the nearest stop each time, each with its best ways.
    """
    filled = [stage for stage in stages if len(stage)]
    if not filled:
        return [[] for _ in stages]
    if all(len(stage) <= MOST for stage in filled):
        routes = exact_routes(filled, start, measure)
    else:
        routes = _found(filled, start, rounds, measure)
    rest = iter(routes)
    return [next(rest) if len(stage) else [] for stage in stages]


def _found(
    stages: Sequence[Sequence[Stop]], start: Point, rounds: int, measure: Measure
) -> list[list[Visit]]:
    given = [list(range(len(stage))) for stage in stages]
    nearest, short = [], []
    near_end = short_end = start
    for stage in stages:
        greedy = nearest_first(stage, near_end, measure)
        near_end = _end(stage, greedy)
        nearest.append([stop for stop, _ in greedy])
        if len(stage) <= MOST:
            visits = exact_routes([stage], short_end, measure)[0]
        else:
            visits = _shortened(stage, short_end, rounds, measure)
        short_end = _end(stage, visits)
        short.append([stop for stop, _ in visits])
    candidates = [_with_best_ways(stages, orders, start, measure)
                  for orders in (short, nearest, given)]  # fmt: skip
    return min(candidates, key=lambda candidate: candidate[1])[0]


def _end(stage: Sequence[Stop], visits: Sequence[Visit]) -> Point:
    stop, way = visits[-1]
    end: Point = stage[stop].exits[way]
    return end


def _shortened(stops: Sequence[Stop], start: Point, rounds: int, measure: Measure) -> list[Visit]:
    begun = (
        best_ways(stops, range(len(stops)), start, measure),
        best_ways(stops, [i for i, _ in nearest_first(stops, start, measure)], start, measure),
    )
    best = min(begun, key=lambda visits: travel(stops, visits, start, measure))
    cost = travel(stops, best, start, measure)
    for _ in range(rounds):
        ends = [_ends(stops[stop], way) for stop, way in best]
        heads, tails = (np.array(side) for side in zip(*ends, strict=True))
        trials = min(_TRIALS, 10 * len(stops), _TRIALS_TIMES_STOPS // len(stops))
        order = improved(heads, tails, start[None], trials if rounds > 1 else 0, measure)
        tried = best_ways(stops, [best[place][0] for place in order], start, measure)
        tried_cost = travel(stops, tried, start, measure)
        if tried_cost >= cost * (1 - _WORTH_A_ROUND):
            break
        best, cost = tried, tried_cost
    return best


def _ends(stop: Stop, way: int) -> tuple[Point, Point]:
    """Give where a stop is entered and left; its middle for both if it cannot be turned around."""
    head, tail = stop.entries[way], stop.exits[way]
    can_turn = ((stop.entries == tail) & (stop.exits == head)).all(axis=1).any()
    return (head, tail) if can_turn else ((head + tail) / 2, (head + tail) / 2)


def _with_best_ways(
    stages: Sequence[Sequence[Stop]],
    orders: Sequence[Sequence[int]],
    start: Point,
    measure: Measure,
) -> tuple[list[list[Visit]], float]:
    """Choose the best ways through all stages at once; give them and what they cost."""
    every: list[Stop] = []
    order: list[int] = []
    for stage, numbers in zip(stages, orders, strict=True):
        order += [len(every) + number for number in numbers]
        every += stage
    visits = best_ways(every, order, start, measure)
    routes: list[list[Visit]] = []
    done = 0
    for stage in stages:
        routes.append([(stop - done, way) for stop, way in visits[done : done + len(stage)]])
        done += len(stage)
    return routes, travel(every, visits, start, measure)
