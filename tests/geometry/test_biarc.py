import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.biarc import as_arcs
from cutpath.geometry.chain import Chain, cubic
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import joint_turns, length
from cutpath.geometry.nearest import nearest
from tests.geometry.strategies import chains, point


@settings(max_examples=40)
@given(st.tuples(point, point, point, point), st.sampled_from([0.05, 0.002]))
def test_arcs_stay_within_tolerance_of_a_cubic_both_ways(
    controls: tuple[tuple[float, float], ...], tolerance: float
) -> None:
    curve = cubic(*controls)
    arcs = as_arcs(curve, tolerance)
    assert not arcs.is_cubic.any()
    # Right at a cusp there is no tangent to follow; twice the tolerance is what it may take.
    there = nearest(arcs, flatten(curve, 0.2).points).distance
    back = nearest(curve, flatten(arcs, 0.2).points).distance
    assert there.max() <= 2 * tolerance + 1e-6
    assert back.max() <= 2 * tolerance + 1e-6


@given(chains())
def test_joints_lines_and_arcs_are_kept(chain: Chain) -> None:
    arcs = as_arcs(chain, 0.01)
    assert arcs.closed == chain.closed
    kept = {tuple(joint) for joint in arcs.points.tolist()}
    assert {tuple(joint) for joint in chain.points.tolist()} <= kept


def test_a_smooth_cubic_comes_out_smooth() -> None:
    curve = cubic((0, 0), (200, 300), (500, 300), (700, -50))
    arcs = as_arcs(curve, 0.002)
    assert np.abs(joint_turns(arcs)).max() < 1e-9
    assert length(arcs) == pytest.approx(length(curve), rel=1e-6)
    assert len(arcs) <= 60


def test_a_straight_cubic_becomes_lines() -> None:
    arcs = as_arcs(cubic((0, 0), (1, 1), (2, 2), (9, 9)), 0.002)
    assert not arcs.is_arc.any()
