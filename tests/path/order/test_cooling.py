from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.kinematics import Kinematics
from cutpath.path.order.cooling import Waiting, rest_place, waits
from cutpath.path.order.costs import Table, options_of
from cutpath.path.order.improving import Improver
from cutpath.path.order.nearest_first import nearest_first
from cutpath.path.order.stops import Cooling, Stop, Visit, Work, flown, travel_clock
from cutpath.path.order.touring import best_route
from tests.path.order.works import START, closed_stop, keeps_rules, whole, works

CLOCK = travel_clock(Kinematics(travel_speed=500.0, acceleration=2000.0))


def spans(work: Work, visits: list[Visit]) -> dict[int, tuple[float, float]]:
    """When each stop begins and is done, told apart from the code under test."""
    now, here, tool = 0.0, work.start, None
    out: dict[int, tuple[float, float]] = {}
    for (stop, way), wait in zip(visits, waits(work, visits).tolist(), strict=True):
        each = work.stops[stop]
        now += float(flown(here, each.entries[way], work.measure)) + wait
        now += work.change if tool not in {None, each.tool} else 0.0
        out[stop] = (now, now + each.seconds)
        now, here, tool = now + each.seconds, each.exits[way], each.tool
    return out


def apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    return max(other[0] - one[1], one[0] - other[1])


@given(works(12, cools=True))
def test_near_cuts_are_apart_in_time_and_no_wait_is_longer_than_it_must_be(work: Work) -> None:
    visits = best_route(work, 1)
    assert keeps_rules(work, [stop for stop, _ in visits])
    times = spans(work, visits)
    for each in work.cooling:
        assert apart(times[each.first], times[each.second]) >= each.seconds - 1e-6
    for (stop, _), wait in zip(visits, waits(work, visits).tolist(), strict=True):
        if wait > 0:  # somebody near was done exactly that long ago
            gaps = [
                apart(times[e.first], times[e.second]) - e.seconds
                for e in work.cooling
                if stop in {e.first, e.second}
            ]
            assert min(abs(gap) for gap in gaps) < 1e-6


@given(works(12, cools=True))
def test_waits_of_a_route_under_change_are_those_of_the_route(work: Work) -> None:
    ways = [np.arange(len(stop.entries)) for stop in work.stops]
    route = Improver(work, Table(work, options_of(work, ways)), nearest_first(work))
    assert route.cost() + Waiting(work)(route) == pytest.approx(whole(work, route.visits()))


def row_of_ends(count: int, cool: float) -> Work:
    """Webbing ends side by side, 50 mm apart, each needing its neighbours cool."""
    stops = [replace(closed_stop((100.0 + 50 * i, 200.0)), seconds=2.0) for i in range(count)]
    cooling = tuple(Cooling(i, i + 1, cool) for i in range(count - 1))
    return Work(stops, START, measure=CLOCK, cooling=cooling)


@pytest.mark.parametrize("count", [6, 8, 12, 20])
def test_every_other_end_is_sealed_first_and_nothing_waits(count: int) -> None:
    work = row_of_ends(count, 3.0)
    visits = best_route(work)
    assert waits(work, visits).sum() < 3.0
    neighbours = sum(abs(a - b) == 1 for (a, _), (b, _) in pairwise(visits))
    assert neighbours <= 1


def test_other_work_is_done_while_two_cuts_cool() -> None:
    hot = [replace(closed_stop((100.0 + 10 * i, 100.0)), seconds=2.0) for i in range(2)]
    cold = [replace(closed_stop((400.0, 100.0 + 50 * i)), seconds=3.0) for i in range(12)]
    work = Work(hot + cold, START, measure=CLOCK, cooling=(Cooling(0, 1, 30.0),))
    visits = best_route(work)
    assert waits(work, visits).sum() == 0
    alone = Work(hot, START, measure=CLOCK, cooling=(Cooling(0, 1, 30.0),))
    assert waits(alone, best_route(alone)).sum() == pytest.approx(30.0 - CLOCK.one(10.0))


@given(
    st.tuples(st.floats(0, 2000), st.floats(0, 2000)),
    st.tuples(st.floats(0, 2000), st.floats(0, 2000)),
    st.floats(0, 60),
)
def test_a_wait_is_spent_away_and_is_over_in_time(
    leave: tuple[float, float], arrive: tuple[float, float], wait: float
) -> None:
    a, b, rest = np.array(leave), np.array(arrive), np.array([-50.0, -50.0])
    at, left = rest_place(a, b, rest, wait, CLOCK)
    taken = float(flown(a, at, CLOCK)) + left + float(flown(at, b, CLOCK))
    assert taken == pytest.approx(float(flown(a, b, CLOCK)) + wait, abs=1e-6)
    if wait > 30:  # there is time to go all the way
        np.testing.assert_allclose(at, rest)


@settings(max_examples=20)
@given(works(10, cools=True))
def test_the_same_hot_work_gives_the_same_route(work: Work) -> None:
    assert best_route(work, 1) == best_route(work, 1)


def test_thirty_hot_rings_cost_hardly_more_than_cold_ones() -> None:
    rng = np.random.default_rng(1)
    middles = rng.uniform(0, 2000, (30, 2))
    stops = [Stop(m[None], m[None], seconds=4.0) for m in middles]
    gap = np.hypot(*(middles[:, None] - middles[None]).transpose(2, 0, 1))
    pairs = [(i, j) for i in range(30) for j in range(i + 1, 30) if gap[i, j] < 400]
    hot = Work(stops, START, measure=CLOCK, cooling=tuple(Cooling(i, j, 8.0) for i, j in pairs))
    cold = replace(hot, cooling=())
    naive = whole(hot, best_route(cold))
    assert whole(hot, best_route(hot)) < 0.6 * naive
