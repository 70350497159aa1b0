"""Work for tests, small and invented, and the plain truth about it."""

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
from hypothesis import strategies as st

from cutpath.path.order.cooling import waits
from cutpath.path.order.stops import Cooling, Stop, Visit, Work, travel

START = np.array([0.0, 0.0])
coordinate = st.integers(0, 1000).map(float)
place = st.tuples(coordinate, coordinate)


def open_stop(a: Sequence[float], b: Sequence[float]) -> Stop:
    return Stop(np.array([a, b]), np.array([b, a]))


def closed_stop(*places: Sequence[float], tool: int = 0) -> Stop:
    return Stop(np.array(places), np.array(places), tool)


def one_way(a: Sequence[float], b: Sequence[float]) -> Stop:
    return Stop(np.array([a]), np.array([b]))


shapes = st.one_of(
    st.builds(open_stop, place, place),
    st.builds(one_way, place, place),
    st.lists(place, min_size=1, max_size=3, unique=True).map(lambda places: closed_stop(*places)),
)


@st.composite
def works(draw: st.DrawFn, most: int, *, cools: bool = False, rules: bool = True) -> Work:
    """Up to ``most`` stops with tools, levels and rules of what comes before what."""
    count = draw(st.integers(1, most))
    stops = []
    for number in range(count):
        shape = draw(shapes)
        earlier = st.sets(st.integers(0, number - 1), max_size=2) if number else st.just(set())
        stops.append(
            Stop(
                shape.entries,
                shape.exits,
                tool=draw(st.integers(0, 1)),
                level=draw(st.sampled_from([0, 0, 1])) if rules else 0,
                after=tuple(sorted(draw(earlier))) if rules else (),
                seconds=float(draw(st.integers(0, 30))),
            )
        )
    stops = with_levels_that_agree(stops)
    pairs = list(itertools.combinations(range(count), 2))
    hot = draw(st.lists(st.sampled_from(pairs), max_size=4, unique=True)) if cools and pairs else []
    cooling = tuple(Cooling(a, b, float(draw(st.integers(1, 1500)))) for a, b in sorted(hot))
    end = draw(st.one_of(st.none(), place.map(np.array)))
    change = float(draw(st.sampled_from([0, 400])))
    return Work(tuple(stops), START, end, change=change, cooling=cooling)


def with_levels_that_agree(stops: Sequence[Stop]) -> list[Stop]:
    """Raise levels so that no stop comes after one of a higher level."""
    out: list[Stop] = []
    for stop in stops:
        level = max([stop.level, *(out[before].level for before in stop.after)])
        out.append(Stop(stop.entries, stop.exits, stop.tool, level, stop.after, stop.seconds))
    return out


def keeps_rules(work: Work, order: Sequence[int]) -> bool:
    """Each stop once, levels rising, nothing before what it must come after."""
    if sorted(order) != list(range(len(work.stops))):
        return False
    place_of = {stop: index for index, stop in enumerate(order)}
    levels = [work.stops[stop].level for stop in order]
    return levels == sorted(levels) and all(
        place_of[before] < place_of[stop] for stop in order for before in work.stops[stop].after
    )


def whole(work: Work, visits: Sequence[Visit]) -> float:
    """What the route costs, waits and all, stop by stop."""
    return travel(work, visits) + float(waits(work, visits).sum())


def every_route(work: Work) -> Iterator[list[Visit]]:
    """All orders that keep the rules, in all ways."""
    for order in itertools.permutations(range(len(work.stops))):
        if keeps_rules(work, order):
            ways = [range(len(work.stops[stop].entries)) for stop in order]
            for chosen in itertools.product(*ways):
                yield list(zip(order, chosen, strict=True))
