import numpy as np
import pytest
from hypothesis import given

from cutpath.path.order.blocks import blocks_of, work_of_blocks
from cutpath.path.order.bounds import least_travel
from cutpath.path.order.nearest_first import nearest_first
from cutpath.path.order.stops import Stop, Work, travel
from cutpath.path.order.touring import best_route
from tests.path.order.works import START, closed_stop, every_route, keeps_rules, works


@given(works(4, rules=False))
def test_no_route_costs_less_than_the_bound(work: Work) -> None:
    least = least_travel(work)
    assert least is not None
    assert all(travel(work, visits) >= least - 1e-6 for visits in every_route(work))


def test_a_row_reaches_its_bound() -> None:
    row = Work([closed_stop((10.0 * i, 0.0)) for i in range(1, 40)], START)
    assert least_travel(row) == pytest.approx(390.0)
    assert least_travel(row, slack=1.0) == pytest.approx(390.0 - 39)
    assert travel(row, best_route(row)) == pytest.approx(390.0)


def test_too_many_stops_have_no_bound_and_none_cost_nothing() -> None:
    assert least_travel(Work([closed_stop((1.0, 1.0))] * 3000, START)) is None
    assert least_travel(Work([], START)) == 0


@given(works(20))
def test_blocks_hold_all_in_order_and_keep_the_rules(work: Work) -> None:
    visits = nearest_first(work)
    blocks = blocks_of(work, visits)
    assert [visit for block in blocks for visit in block] == visits
    whole = work_of_blocks(work, blocks)
    assert keeps_rules(whole, list(range(len(blocks))))
    for block, stop in zip(blocks, whole.stops, strict=True):
        assert {work.stops[s].tool for s, _ in block} == {stop.tool}
        assert {work.stops[s].level for s, _ in block} == {stop.level}


def test_pieces_in_a_shuffled_row_are_swept_once() -> None:
    # Three marks before each outline, so that no piece can be turned around stop by stop.
    rng = np.random.default_rng(3)
    stops: list[Stop] = []
    for x in rng.permutation(40) * 100.0 + 100.0:
        first = len(stops)
        stops += [closed_stop((x + d, 0.0)) for d in (0.0, 10.0, 20.0)]
        ring = np.array([[x + 30.0, 0.0]])
        stops.append(Stop(ring, ring, after=(first, first + 1, first + 2)))
    work = Work(stops, START)
    assert travel(work, best_route(work)) == pytest.approx(4030.0)
