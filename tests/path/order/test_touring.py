import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.kinematics import Kinematics
from cutpath.path.order.costs import Table, options_of
from cutpath.path.order.exact import exact_route, is_small
from cutpath.path.order.improving import Improver
from cutpath.path.order.kicking import kick
from cutpath.path.order.nearest_first import nearest_first
from cutpath.path.order.stops import Cooling, Measure, Stop, Work, best_ways, travel, travel_clock
from cutpath.path.order.touring import best_route
from tests.path.order.works import (
    START,
    closed_stop,
    every_route,
    keeps_rules,
    open_stop,
    place,
    shapes,
    whole,
    works,
)


@given(works(30))
def test_every_stop_is_made_once_and_no_rule_is_broken(work: Work) -> None:
    visits = best_route(work, 1)
    assert keeps_rules(work, [stop for stop, _ in visits])
    assert all(0 <= way < len(work.stops[stop].entries) for stop, way in visits)


@given(works(30))
def test_never_dearer_than_the_nearest_first_nor_than_the_order_given(work: Work) -> None:
    found = whole(work, best_route(work, 1))
    assert found <= whole(work, nearest_first(work)) + 1e-6
    given_ = list(range(len(work.stops)))
    if keeps_rules(work, given_):
        assert found <= whole(work, best_ways(work, given_)) + 1e-6


@settings(max_examples=25)
@given(works(5, cools=True))
def test_a_handful_is_as_good_as_every_order_and_way_tried(work: Work) -> None:
    least = min(whole(work, visits) for visits in every_route(work))
    assert is_small(work)
    assert whole(work, best_route(work)) == pytest.approx(least, abs=1e-6)


@settings(max_examples=60)
@given(
    st.lists(place, min_size=4, max_size=5, unique=True),
    st.lists(st.integers(0, 1500), min_size=10, max_size=10),
)
def test_what_must_cool_is_weighed_against_what_is_near(
    places: list[tuple[float, float]], seconds: list[int]
) -> None:
    stops = [closed_stop(xy) for xy in places]
    pairs = list(itertools.combinations(range(len(stops)), 2))
    cooling = tuple(
        Cooling(a, b, float(s)) for (a, b), s in zip(pairs, seconds, strict=False) if s > 300
    )
    work = Work(stops, START, cooling=cooling)
    least = min(whole(work, visits) for visits in every_route(work))
    assert whole(work, exact_route(work)) == pytest.approx(least, abs=1e-6)


@st.composite
def eight_toolpaths(draw: st.DrawFn) -> Work:
    """Seven or eight stops with one way each, so that all orders can be tried."""
    work = draw(works(8, cools=True))
    return replace(
        work,
        stops=tuple(
            Stop(s.entries[:1], s.exits[:1], s.tool, s.level, s.after, s.seconds)
            for s in work.stops
        ),
    )


@settings(max_examples=4, deadline=None)
@given(eight_toolpaths())
def test_eight_toolpaths_are_as_good_as_every_order_tried(work: Work) -> None:
    least = min(whole(work, visits) for visits in every_route(work))
    assert whole(work, exact_route(work)) == pytest.approx(least, abs=1e-6)


@settings(max_examples=25)
@given(works(6, cools=True, rules=False))
def test_starting_early_is_never_worse(work: Work) -> None:
    visits = exact_route(work)
    again = whole(work, visits)
    for index in range(len(visits)):
        held = list(work.stops)
        stop = visits[index][0]
        held[stop] = replace(held[stop], seconds=held[stop].seconds + 7.0)
        slower = whole(replace(work, stops=tuple(held)), visits)
        assert slower + 7.0 >= again - 1e-9


@settings(max_examples=30)
@given(works(25))
def test_what_a_route_says_it_gains_it_gains(work: Work) -> None:
    ways = [np.arange(len(stop.entries)) for stop in work.stops]
    route = Improver(work, Table(work, options_of(work, ways)), nearest_first(work))
    before = travel(work, route.visits())
    assert route.cost() == pytest.approx(before, abs=1e-6)
    gained = route.settle(route.order[::-1])
    assert travel(work, route.visits()) == pytest.approx(before - gained, abs=1e-5)
    assert keeps_rules(work, [stop for stop, _ in route.visits()])


@settings(max_examples=30)
@given(works(25))
def test_kicks_never_make_it_dearer_and_keep_the_rules(work: Work) -> None:
    ways = [np.arange(len(stop.entries)) for stop in work.stops]
    route = Improver(work, Table(work, options_of(work, ways)), nearest_first(work))
    before = travel(work, route.visits())
    kick(route, 40, seed=3)
    assert travel(work, route.visits()) <= before + 1e-5
    assert keeps_rules(work, [stop for stop, _ in route.visits()])


@given(works(20))
def test_undoing_gives_the_route_back(work: Work) -> None:
    ways = [np.arange(len(stop.entries)) for stop in work.stops]
    route = Improver(work, Table(work, options_of(work, ways)), nearest_first(work))
    kept = route.visits()
    route.settle(route.order[::-1])
    route.undo()
    assert route.visits() == kept
    assert [route.at[stop] for stop in route.order] == list(range(len(route.order)))


@given(works(20))
def test_costs_kept_and_costs_asked_for_agree(work: Work) -> None:
    options = options_of(work, [np.arange(len(stop.entries)) for stop in work.stops])
    kept = Table(work, options)
    asked = Table.__new__(Table)
    sizes = len(options.owner)
    from cutpath.path.order import costs

    most = costs._DENSE
    costs._DENSE = 0
    try:
        asked = Table(work, options)
    finally:
        costs._DENSE = most
    assert kept.dense is not None
    assert asked.dense is None
    for a in range(sizes):
        for b in range(sizes):
            assert asked.rows[a][b] == pytest.approx(kept.rows[a][b])


def scattered(count: int, seed: int) -> Work:
    rng = np.random.default_rng(seed)
    points = rng.uniform(0, 1000, (count, 2))
    return Work([closed_stop(point) for point in points], START)


def test_a_scattered_row_is_swept_once() -> None:
    xs = np.random.default_rng(3).permutation(np.arange(1, 61)) * 10.0
    row = Work([closed_stop((x, 0.0)) for x in xs], START)
    assert travel(row, best_route(row)) == pytest.approx(600.0)


def test_a_row_there_and_back_ends_where_it_must() -> None:
    xs = np.random.default_rng(3).permutation(np.arange(1, 61)) * 10.0
    row = Work([closed_stop((x, 0.0)) for x in xs], START, end=START)
    assert travel(row, best_route(row)) == pytest.approx(1200.0)


def test_a_grid_of_points_is_swept_with_hardly_a_detour() -> None:
    # A grid of n × n points a step apart takes n² − 1 steps at best: a serpentine.
    rng = np.random.default_rng(4)
    grid = [(10.0 * x, 10.0 * y) for x in range(12) for y in range(12)]
    work = Work([closed_stop(grid[i]) for i in rng.permutation(len(grid))], START)
    assert travel(work, best_route(work)) <= 143 * 10.0 * 1.02


def test_long_strokes_are_taken_by_the_end_that_helps() -> None:
    # Side by side, as fold lines are: up one, down the next.
    rng = np.random.default_rng(6)
    folds = [open_stop((100.0 * i, 0.0), (100.0 * i, 1000.0)) for i in rng.permutation(30) + 1]
    work = Work(folds, START)
    assert travel(work, best_route(work)) == pytest.approx(3000.0)


def test_one_tool_is_used_up_before_the_next_where_a_change_is_dear() -> None:
    rng = np.random.default_rng(8)
    stops = [closed_stop(xy, tool=i % 2) for i, xy in enumerate(rng.uniform(0, 1000, (40, 2)))]
    dear = Work(stops, START, change=1e5)
    tools = [stops[stop].tool for stop, _ in best_route(dear)]
    assert sum(a != b for a, b in itertools.pairwise(tools)) == 1
    free = Work(stops, START)
    tools = [stops[stop].tool for stop, _ in best_route(free)]
    assert sum(a != b for a, b in itertools.pairwise(tools)) > 5


def test_inner_work_goes_with_its_outline_where_that_is_shortest() -> None:
    # Two pieces far apart, each with a hole: both of one, then both of the other.
    places = [(0.0, 100.0), (5000.0, 100.0)]
    stops = [closed_stop(xy) for xy in places]
    stops += [replace(closed_stop((x, y + 50)), after=(i,)) for i, (x, y) in enumerate(places)]
    filler = [closed_stop((x + d, y)) for x, y in places for d in (10.0, 20.0, 30.0, 40.0)]
    work = Work(stops + filler, START)
    assert travel(work, best_route(work)) < 6000


def test_more_rounds_never_cost_more_and_mostly_help() -> None:
    work = scattered(200, 5)
    found = [travel(work, best_route(work, rounds)) for rounds in (0, 1, 4)]
    assert found[0] >= found[1] >= found[2]
    assert found[2] < 0.98 * found[0]


def test_the_same_work_gives_the_same_route() -> None:
    rng = np.random.default_rng(5)
    stops = [open_stop(*rng.uniform(0, 1000, (2, 2))) for _ in range(60)]
    assert best_route(Work(stops, START)) == best_route(Work(stops, START))


def test_another_measure_decides_another_way() -> None:
    # Where every travel costs the same, however far, any order is as good: nothing is changed.
    flat = Measure(lambda d: float(d > 0), lambda d: (np.asarray(d) > 0).astype(float))
    work = replace(scattered(30, 1), measure=flat)
    assert [stop for stop, _ in best_route(work)] == [stop for stop, _ in nearest_first(work)]


@given(st.lists(st.floats(0, 1e5), min_size=1, max_size=20))
def test_one_travel_takes_as_long_as_it_does_among_many(distances: list[float]) -> None:
    clock = travel_clock(Kinematics(travel_speed=500.0, acceleration=1500.0))
    many = clock.many(np.array(distances))
    assert [clock.one(distance) for distance in distances] == pytest.approx(many.tolist())


@given(st.lists(shapes, min_size=1, max_size=60))
def test_the_nearest_stop_comes_next_each_time(stops: list[Stop]) -> None:
    here, left = START, set(range(len(stops)))
    for stop, way in nearest_first(Work(stops, START)):
        went = np.hypot(*(stops[stop].entries[way] - here))
        least = min(np.hypot(*(stops[other].entries - here).T).min() for other in left)
        assert went == pytest.approx(least)
        here = stops[stop].exits[way]
        left.remove(stop)


def test_loops_with_many_places_to_begin_are_better_than_by_the_nearest_place() -> None:
    rng = np.random.default_rng(2)
    stops = []
    for x, y in rng.uniform(0, 3000, (120, 2)):
        angle = np.linspace(0, 2 * np.pi, 40, endpoint=False)
        ring = np.array([x, y]) + 80 * np.column_stack([np.cos(angle), np.sin(angle)])
        stops.append(Stop(ring, ring))
    work = Work(stops, START)
    assert travel(work, best_route(work)) < 0.8 * travel(work, nearest_first(work))


@given(st.lists(place, min_size=1, max_size=5))
def test_nothing_to_do_and_one_place_only(places: list[tuple[float, float]]) -> None:
    assert best_route(Work([], START)) == []
    work = Work([closed_stop(places[0]) for _ in range(12)], START)
    assert len(best_route(work)) == 12
