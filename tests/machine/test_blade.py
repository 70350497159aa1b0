"""A blade's holder is led so that the tip follows the line: judged by integrating the tip."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain, arc, circle, joined, line, make_chain, polyline
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import length
from cutpath.geometry.nearest import nearest
from cutpath.machine.blade import overrun, parted_at_corners, pivot_path


def tip_behind(pivot: Chain, offset: float, heading: float) -> np.ndarray:
    """Drag a tip behind densely sampled pivots: it is pulled straight towards each next one."""
    dense = flatten(pivot, 1e-6).points
    stops = [dense[0]]
    for start, end in pairwise(dense):
        parts = max(1, math.ceil(float(np.hypot(*(end - start))) / 0.01))
        stops += [start + (end - start) * (k + 1) / parts for k in range(parts)]
    tip = stops[0] - offset * np.array([math.cos(heading), math.sin(heading)])
    tips = [tip]
    for stop in stops[1:]:
        pull = stop - tip
        tip = stop - offset * pull / np.hypot(*pull)
        tips.append(tip)
    return np.array(tips)


turns = st.lists(st.floats(-2.8, 2.8), min_size=1, max_size=5)


@given(turns, st.floats(0.2, 2), st.floats(-3, 3))
def test_the_tip_stays_on_the_line_whatever_its_corners(
    angles: list[float], offset: float, heading: float
) -> None:
    at, way, points = np.zeros(2), 0.3, [np.zeros(2)]
    for angle in angles:
        at = at + 12 * np.array([math.cos(way), math.sin(way)])
        points.append(at)
        way += angle
    asked = polyline(points)
    pivot, _ = pivot_path(asked, offset, heading)
    tips = tip_behind(pivot, offset, heading)
    assert float(nearest(asked, tips).distance.max()) < 0.02  # the sampling's own error
    assert np.hypot(*(tips[0] - asked.first)) < 1e-9
    assert np.hypot(*(tips[-1] - asked.last)) < 0.02


def test_the_tip_stays_on_arcs_joined_to_lines() -> None:
    asked = joined([line((0, 0), (30, 0)), arc((30, 10), 10, -math.pi / 2, math.pi)])
    pivot, heading = pivot_path(asked, 0.5, 0.0)
    tips = tip_behind(pivot, 0.5, 0.0)
    assert float(nearest(asked, tips).distance.max()) < 0.01
    assert heading == pytest.approx(math.pi)


def test_a_smooth_line_needs_no_swing() -> None:
    asked = joined([line((0, 0), (30, 0)), arc((30, 10), 10, -math.pi / 2, 1.0)])
    pivot, _ = pivot_path(asked, 0.5, 0.0)
    assert len(pivot) == 2


def test_a_closed_cut_runs_past_its_start() -> None:
    square = polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    run = overrun(square, 3.0)
    assert length(run) == pytest.approx(43)
    assert run.last == pytest.approx((3, 0))
    assert overrun(circle((0, 0), 5), 0).closed is False


def test_an_overcut_is_never_longer_than_the_cut() -> None:
    square = polyline([(0, 0), (1, 0), (1, 1), (0, 1)], closed=True)
    assert length(overrun(square, 50.0)) == pytest.approx(8)


def test_corners_above_the_lift_angle_part_the_cut() -> None:
    run = polyline([(0, 0), (10, 0), (20, 2), (20, 20)])
    parts = parted_at_corners(run, math.radians(30))
    assert [len(part) for part in parts] == [2, 1]
    assert parts[1].first == pytest.approx((20, 2))


def test_a_path_that_has_no_direction_is_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="no direction"):
        pivot_path(make_chain([(0, 0), (0, 0), (1, 0)]), 0.5, 0.0)
