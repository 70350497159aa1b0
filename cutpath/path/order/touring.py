"""The order of all stops and their ways: a first route, improved as long as is asked.

Begins with the best of three plain routes: the order given, the nearest ready stop each time, and
the same followed by its best ways. No clock and no chance: the same work and effort, the same
route.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.points import Ints
from cutpath.path.order.blocks import blocks_of, work_of_blocks
from cutpath.path.order.cooling import Waiting, waits
from cutpath.path.order.costs import Table, options_of
from cutpath.path.order.exact import exact_route, is_small
from cutpath.path.order.facing import likely_ways
from cutpath.path.order.improving import Improver
from cutpath.path.order.kicking import kick
from cutpath.path.order.nearest_first import nearest_first
from cutpath.path.order.stops import Visit, Work, best_ways, travel

_LEAST_TRIALS, _SHARE = 300, 10
"""Exchanges in one round: so many, or a tenth of the stops when that is more."""
_NOTHING = 1e-9
_SECOND_LOOK = 2000
"""Up to so many stops, the ways that face others are chosen anew for the better order."""


def trials_in_round(stops: int) -> int:
    """Give how many exchanges are tried in one round of effort."""
    return min(5 * stops, max(_LEAST_TRIALS, stops // _SHARE))


def best_route(work: Work, rounds: int = 4) -> list[Visit]:
    """Give every stop in an order that costs little and breaks no rule; ``rounds`` is the effort.

    A handful of stops is solved exactly. Never costs more than the order given (where that breaks
    no rule), nor than going to the nearest ready stop each time, each with its best ways.
    """
    if not work.stops:
        return []
    if is_small(work):
        return exact_route(work)
    best = min(_plain_routes(work), key=lambda visits: whole_cost(work, visits))
    least = whole_cost(work, best)
    for effort in (rounds, 0):
        best = _with_blocks_moved(work, best, effort)
        least = whole_cost(work, best)
        ways = likely_ways(work, best)
        found = _improved(work, best, ways, effort)
        tries = (best_ways(work, [stop for stop, _ in found]), found)
        tried = min(tries, key=lambda visits: whole_cost(work, visits))
        cost = whole_cost(work, tried)
        if cost >= least * (1 - _NOTHING):
            break
        best, least = tried, cost
        has_all = all(len(w) == len(s.entries) for w, s in zip(ways, work.stops, strict=True))
        if has_all or len(work.stops) > _SECOND_LOOK:
            break
    return best


def _with_blocks_moved(work: Work, best: list[Visit], rounds: int) -> list[Visit]:
    """Improve the order of whole pieces, where rules keep them from being turned stop by stop."""
    if work.cooling or not any(stop.after for stop in work.stops):
        return best
    blocks = blocks_of(work, best)
    whole = work_of_blocks(work, blocks)
    begun = [(number, block[0][1] if len(block) == 1 else 0) for number, block in enumerate(blocks)]
    ways = likely_ways(whole, begun)
    found = _improved(whole, begun, ways, rounds)
    visits: list[Visit] = []
    for number, way in found:
        block = blocks[number]
        visits += block if len(block) > 1 else [(block[0][0], way)]
    return min(best, visits, key=lambda tried: whole_cost(work, tried))


def whole_cost(work: Work, visits: Sequence[Visit]) -> float:
    """Give what the ways, the changes of tools and the waits cost together."""
    return travel(work, visits) + float(waits(work, visits).sum())


def _improved(work: Work, best: Sequence[Visit], ways: Sequence[Ints], rounds: int) -> list[Visit]:
    table = Table(work, options_of(work, ways))
    numbers = [(stop, int(np.flatnonzero(ways[stop] == way)[0])) for stop, way in best]
    route = Improver(work, table, numbers)
    route.settle(route.order[::-1])
    trials = rounds * trials_in_round(len(work.stops))
    if work.cooling:
        waiting = Waiting(work)
        waiting.spread(route)
        kick(route, trials, seed=1, extra=waiting)
        waiting.spread(route)
    else:
        kick(route, trials, seed=1)
    return [(stop, int(ways[stop][way])) for stop, way in route.visits()]


def _plain_routes(work: Work) -> list[list[Visit]]:
    nearest = nearest_first(work)
    routes = [nearest, best_ways(work, [stop for stop, _ in nearest])]
    given = sorted(range(len(work.stops)), key=lambda index: work.stops[index].level)
    if _keeps_rules(work, given):
        routes.append(best_ways(work, given))
    return routes


def _keeps_rules(work: Work, order: Sequence[int]) -> bool:
    place = {stop: index for index, stop in enumerate(order)}
    return all(place[before] < place[stop] for stop in order for before in work.stops[stop].after)
