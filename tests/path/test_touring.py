import itertools
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.path.exact_route import exact_routes
from cutpath.path.improving import improved
from cutpath.path.nearest_first import nearest_first
from cutpath.path.stops import DISTANCE, Measure, Stop, Visit, best_ways, travel
from cutpath.path.touring import shortest_routes

START = np.array([0.0, 0.0])
coordinate = st.integers(0, 1000).map(float)
place = st.tuples(coordinate, coordinate)


def open_stop(a: Sequence[float], b: Sequence[float]) -> Stop:
    return Stop(np.array([a, b]), np.array([b, a]))


def closed_stop(*places: Sequence[float]) -> Stop:
    return Stop(np.array(places), np.array(places))


def one_way(a: Sequence[float], b: Sequence[float]) -> Stop:
    return Stop(np.array([a]), np.array([b]))


stops = st.one_of(
    st.builds(open_stop, place, place),
    st.builds(one_way, place, place),
    st.lists(place, min_size=1, max_size=4).map(lambda places: closed_stop(*places)),
)
stages = st.lists(st.lists(stops, max_size=25), min_size=1, max_size=3)


def whole(
    groups: Sequence[Sequence[Stop]], routes: Sequence[Sequence[Visit]]
) -> tuple[list[Stop], list[Visit]]:
    """All stages as one: their stops, and the visits numbered through."""
    every: list[Stop] = []
    visits: list[Visit] = []
    for group, route in zip(groups, routes, strict=True):
        visits += [(len(every) + stop, way) for stop, way in route]
        every += group
    return every, visits


def cost(groups: Sequence[Sequence[Stop]], routes: Sequence[Sequence[Visit]]) -> float:
    every, visits = whole(groups, routes)
    return travel(every, visits, START)


@given(stages)
def test_every_stop_is_visited_once_in_its_own_stage(groups: list[list[Stop]]) -> None:
    routes = shortest_routes(groups, START)
    assert len(routes) == len(groups)
    for group, route in zip(groups, routes, strict=True):
        assert sorted(stop for stop, _ in route) == list(range(len(group)))
        assert all(0 <= way < len(group[stop].entries) for stop, way in route)


@given(stages)
def test_never_longer_than_the_order_given_or_the_nearest_first(groups: list[list[Stop]]) -> None:
    found = cost(groups, shortest_routes(groups, START))
    every, given_ = whole(groups, [[(i, 0) for i in range(len(group))] for group in groups])
    in_order = travel(every, best_ways(every, [stop for stop, _ in given_], START), START)
    here, greedy = START, []
    for group in groups:
        greedy.append(nearest_first(group, here) if group else [])
        if group:
            here = group[greedy[-1][-1][0]].exits[greedy[-1][-1][1]]
    assert found <= in_order + 1e-6
    assert found <= cost(groups, greedy) + 1e-6


@given(st.lists(stops, min_size=1, max_size=5))
def test_few_stops_are_as_good_as_every_order_tried(group: list[Stop]) -> None:
    tried = (
        travel(group, best_ways(group, order, START), START)
        for order in itertools.permutations(range(len(group)))
    )
    assert cost([group], shortest_routes([group], START)) == pytest.approx(min(tried), abs=1e-6)


@settings(max_examples=2)
@given(st.lists(stops, min_size=7, max_size=7))
def test_seven_strokes_are_as_good_as_every_order_tried(group: list[Stop]) -> None:
    tried = (
        travel(group, best_ways(group, order, START), START)
        for order in itertools.permutations(range(7))
    )
    assert cost([group], shortest_routes([group], START)) <= min(tried) * 1.01 + 1e-6


@given(st.lists(stops, min_size=1, max_size=3), st.lists(stops, min_size=1, max_size=3))
def test_two_small_stages_are_best_together_not_one_by_one(
    first: list[Stop], second: list[Stop]
) -> None:
    every = first + second
    best = min(
        travel(every, best_ways(every, (*a, *(len(first) + i for i in b)), START), START)
        for a in itertools.permutations(range(len(first)))
        for b in itertools.permutations(range(len(second)))
    )
    routes = exact_routes([first, second], START)
    assert cost([first, second], routes) == pytest.approx(best, abs=1e-6)


def test_a_scattered_row_is_swept_once() -> None:
    rng = np.random.default_rng(3)
    xs = rng.permutation(np.arange(1, 61)) * 10.0
    row = [closed_stop((x, 0.0)) for x in xs]
    assert cost([row], shortest_routes([row], START)) == pytest.approx(600.0)


def test_a_grid_of_points_is_swept_with_hardly_a_detour() -> None:
    # A grid of n × n points a step apart takes n² − 1 steps at best: a serpentine.
    rng = np.random.default_rng(4)
    grid = [(10.0 * x, 10.0 * y) for x in range(12) for y in range(12)]
    group = [closed_stop(grid[i]) for i in rng.permutation(len(grid))]
    assert cost([group], shortest_routes([group], START)) <= 143 * 10.0 * 1.03


def test_long_strokes_are_taken_by_the_end_that_helps() -> None:
    # Side by side, as fold lines are: up one, down the next.
    folds = [open_stop((100.0 * i, 0.0), (100.0 * i, 1000.0)) for i in (3, 1, 4, 2, 9, 6, 5, 8, 7)]
    assert cost([folds], shortest_routes([folds], START)) == pytest.approx(900.0)


def test_crossed_ways_are_turned_around_with_their_strokes() -> None:
    # A shuffled row of folds comes out up and down, each a step of 100 mm from the last.
    rng = np.random.default_rng(6)
    row = [(np.array([100.0 * i, 0.0]), np.array([100.0 * i, 1000.0])) for i in range(1, 41)]
    begun = [row[i] if rng.random() < 0.5 else row[i][::-1] for i in rng.permutation(40)]
    heads, tails = (np.array(side) for side in zip(*begun, strict=True))
    order = improved(heads, tails, START[None], 150)
    group = [open_stop(a, b) for a, b in begun]
    assert travel(group, best_ways(group, order, START), START) <= 4000.0 * 1.1


def test_the_same_stops_give_the_same_route() -> None:
    rng = np.random.default_rng(5)
    group = [open_stop(*rng.uniform(0, 1000, (2, 2))) for _ in range(60)]
    assert shortest_routes([group], START) == shortest_routes([group], START)


def test_another_measure_decides_another_way() -> None:
    # Where going up is dear, all of one row comes before the other.
    steep = Measure(
        lambda dx, dy: abs(dx) + 100 * abs(dy), lambda dx, dy: np.abs(dx) + 100 * np.abs(dy)
    )
    pairs = [(float(x), float(y)) for x in range(10, 110, 10) for y in (0, 5)]
    group = [closed_stop(pair) for pair in pairs]
    (plain,) = shortest_routes([group], START, measure=DISTANCE)
    (rows,) = shortest_routes([group], START, measure=steep)
    assert sum(a % 2 != b % 2 for (a, _), (b, _) in itertools.pairwise(rows)) == 1
    assert sum(a % 2 != b % 2 for (a, _), (b, _) in itertools.pairwise(plain)) > 5


@given(st.lists(stops, min_size=1, max_size=60))
def test_the_nearest_stop_comes_next_each_time(group: list[Stop]) -> None:
    here, left = START, set(range(len(group)))
    for stop, way in nearest_first(group, here):
        went = np.hypot(*(group[stop].entries[way] - here))
        least = min(np.hypot(*(group[other].entries - here).T).min() for other in left)
        assert went == pytest.approx(least)
        here = group[stop].exits[way]
        left.remove(stop)


@given(st.lists(st.tuples(place, place), min_size=1, max_size=50))
def test_improving_only_shortens(strokes: list[tuple[tuple[float, float], ...]]) -> None:
    group = [open_stop(a, b) for a, b in strokes]
    heads, tails = (np.array(side) for side in zip(*strokes, strict=True))
    order = improved(heads, tails, START[None], 20)
    assert sorted(order) == list(range(len(group)))
    before = travel(group, [(i, 0) for i in range(len(group))], START)
    assert travel(group, best_ways(group, order, START), START) <= before + 1e-6
