"""Fitted arcs against dense samples, common tangents, and the least number that can do it."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.arc_fitting import fit_arcs
from cutpath.geometry.biarc import as_arcs
from cutpath.geometry.chain import Chain, arc, circle, cubic, joined, line, polyline
from cutpath.geometry.fit_candidates import biarcs, single_arcs
from cutpath.geometry.fit_spans import spans_of
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import joint_turns
from cutpath.geometry.nearness import largest_distance, straight_pieces

TOLERANCE = 0.02


def strays(one: Chain, other: Chain) -> float:
    """Give the farthest of dense samples of either curve from the other, mm."""
    first, second = straight_pieces([one], 1e-4), straight_pieces([other], 1e-4)
    there, back = largest_distance(first, second, 1e-4), largest_distance(second, first, 1e-4)
    return max(there.distance, back.distance) - 3e-4


def drawn(curve: Chain, chords: float) -> Chain:
    """The curve as many short lines."""
    return polyline(flatten(curve, chords).points, closed=curve.closed)


def fitted(chain: Chain) -> Chain:
    return fit_arcs([chain], TOLERANCE)[0]


def test_a_circle_of_chords_is_few_arcs_of_its_radius() -> None:
    # Sagitta s = r (1 − cos(θ/2)): at 0.005 mm a radius of 100 mm needs 158 chords a half.
    chords = drawn(circle((0, 0), 100), 0.005)
    assert len(chords) == 2 * math.ceil(math.pi / (2 * math.acos(1 - 0.005 / 100)))
    arcs = fitted(chords)
    assert len(arcs) <= 4
    assert strays(chords, arcs) <= TOLERANCE


def test_lines_and_the_fillet_between_them_stay() -> None:
    path = joined(
        [line((0, 0), (100, 0)), arc((100, 20), 20, -math.pi / 2, math.pi / 2),
         line((120, 20), (120, 90))]
    )  # fmt: skip
    chords = drawn(path, 0.004)
    arcs = fitted(chords)
    assert len(arcs) <= 5 < len(chords) / 4
    assert strays(arcs, path) <= TOLERANCE + 0.004


def test_corners_stay_where_they_are() -> None:
    square = polyline([(0, 0), (30, 0), (60, 0), (60, 40), (0, 40)], closed=True)
    arcs = fitted(square)
    assert len(arcs) == 4
    assert {tuple(p) for p in arcs.points} == {(0, 0), (60, 0), (60, 40), (0, 40)}


def test_lines_only_where_arcs_are_not_wanted() -> None:
    x = np.linspace(0, 100, 201)
    wave = polyline(np.stack([x, 0.3 * np.sin(x / 9)], axis=1))
    (fewer,) = fit_arcs([wave], TOLERANCE, arcs=False)
    assert not fewer.bulges.any()
    assert len(fewer) < len(wave) / 8
    assert strays(fewer, wave) <= TOLERANCE


curves = st.tuples(*[st.floats(-300, 300) for _ in range(6)]).map(
    lambda v: cubic((0, 0), v[0:2], v[2:4], v[4:6])
)


@given(curves)
@settings(max_examples=20)
def test_nothing_strays_and_tangents_agree(curve: Chain) -> None:
    arcs_in = as_arcs(curve, 0.001)
    arcs = fitted(arcs_in)
    assert strays(arcs_in, arcs) <= TOLERANCE
    assert len(arcs) <= len(arcs_in)
    if len(arcs) > 1 and np.abs(joint_turns(arcs_in)).max(initial=0) < 1e-3:
        assert np.abs(joint_turns(arcs)).max() < 0.006


def least(chain: Chain) -> int:
    """Count the arcs of the cheapest way through all joints, by dynamic programming."""
    spans = spans_of([chain])
    assert len(spans.first) == 1
    count = int(spans.last[0])
    cost = [0.0] + [math.inf] * count
    for end in range(1, count + 1):
        cost[end] = cost[end - 1] + 1
        starts = np.arange(end - 1)
        ends = np.full(end - 1, end)
        along = spans.tangents[starts]
        one = single_arcs(spans, starts, ends, along, TOLERANCE).good
        two = biarcs(spans, starts, ends, along, TOLERANCE).good
        for start in starts.tolist():
            if one[start]:
                cost[end] = min(cost[end], cost[start] + 1)
            if two[start]:
                cost[end] = min(cost[end], cost[start] + 2)
    return int(cost[count])


@pytest.mark.parametrize("seed", range(8))
def test_the_count_is_near_the_least(seed: int) -> None:
    rng = np.random.default_rng(seed)
    first, second = rng.uniform(-200, 200, (2, 2))
    curve = cubic((0, 0), first, second, (250, 0))
    chords = drawn(curve, 0.008)
    if np.abs(joint_turns(chords)).max() > math.radians(29):
        pytest.skip("a cusp")
    assert len(fitted(chords)) <= math.ceil(1.25 * least(chords)) + 1


def test_five_times_fewer_blocks_at_two_hundredths() -> None:
    bow = cubic((0, 0), (200, 400), (600, -300), (800, 100))
    for curve in (circle((0, 0), 150), bow):
        straight = len(drawn(curve, TOLERANCE))
        exact = as_arcs(curve, 0.001)
        assert len(fitted(exact)) * 5 <= straight


def test_bad_tolerances_and_cubics_are_mistakes_of_the_caller() -> None:
    with pytest.raises(ValueError, match="more than 0"):
        fit_arcs([line((0, 0), (1, 0))], 0.0)
    with pytest.raises(ValueError, match="cubics"):
        fit_arcs([cubic((0, 0), (1, 1), (2, 1), (3, 0))], 0.1)
