"""The mean of two curves."""

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.blending import mean_chain
from cutpath.geometry.chain import arc, circle, joined, line, polyline
from cutpath.geometry.curvature import smallest_radius
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.nearest import nearest


@given(st.floats(50, 3000), st.floats(0.9, 1.1), st.floats(0.2, 3.0))
def test_arcs_about_one_centre_have_the_arc_between(
    radius: float, ratio: float, sweep: float
) -> None:
    mean = mean_chain(arc((0, 0), radius, 0, sweep), arc((0, 0), radius * ratio, 0, sweep))
    middle = radius * (1 + ratio) / 2
    at, _ = points_at_stations(mean, np.linspace(0, length(mean), 101))
    assert np.abs(np.hypot(*at.T) - middle).max() < 2e-3
    assert length(mean) == pytest.approx(middle * sweep, rel=1e-5)
    assert smallest_radius(mean) == pytest.approx(middle, rel=0.02)


def test_the_mean_of_a_curve_and_itself_is_itself() -> None:
    run = joined([polyline([(0, 0), (100, 5), (160, 3)]), arc((160, 103), 100, -np.pi / 2, 0.8)])
    mean = mean_chain(run, run)
    at, _ = points_at_stations(run, np.linspace(0, length(run), 77))
    assert nearest(mean, at).distance.max() < 1e-3
    assert not mean.is_cubic[:2].any()


def test_straight_parts_stay_straight_and_ends_are_half_way() -> None:
    mean = mean_chain(line((0, 0), (100, 0)), polyline([(0, 2), (40, 2), (100, 6)]))
    assert not mean.is_cubic.any()
    assert mean.first.tolist() == [0, 1]
    assert mean.last.tolist() == [100, 3]


def test_knots_lead_like_places_to_each_other() -> None:
    one, other = line((0, 0), (100, 0)), line((0, 10), (100, 10))
    mean = mean_chain(one, other, np.array([[30.0, 50.0]]))
    assert nearest(mean, np.array([[40.0, 5.0]])).distance[0] == pytest.approx(0.0)
    assert [40.0, 5.0] in mean.points.tolist()


def test_knots_out_of_order_and_closed_chains_are_refused() -> None:
    with pytest.raises(ValueError, match="order"):
        mean_chain(line((0, 0), (9, 0)), line((0, 0), (9, 0)), np.array([[5.0, 2.0], [3.0, 4.0]]))
    with pytest.raises(ValueError, match="open"):
        mean_chain(circle((0, 0), 1), circle((0, 0), 2))
