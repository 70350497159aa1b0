import math

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain, arc, circle, closed_up, cubic, line, polyline
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import (
    bounds,
    end_tangents,
    joint_turns,
    length,
    points_at_stations,
    signed_area,
)
from cutpath.geometry.nearest import nearest
from tests.geometry.strategies import chains


@given(chains(closed=True))
def test_area_agrees_with_the_shoelace_of_a_fine_polygon(chain: Chain) -> None:
    x, y = flatten(chain, 1e-3).points.T
    shoelace = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    assert signed_area(chain) == pytest.approx(shoelace, abs=2e-3 * length(chain) + 1e-6)


@given(chains())
def test_the_box_touches_and_holds_the_curve(chain: Chain) -> None:
    fine = flatten(chain, 1e-3).points
    low_x, low_y, high_x, high_y = bounds(chain)
    box = (*fine.min(axis=0), *fine.max(axis=0))
    assert (low_x, low_y, high_x, high_y) == pytest.approx(box, abs=2e-3)
    assert low_x <= box[0] + 1e-9
    assert high_y >= box[3] - 1e-9


@given(chains(), st.lists(st.floats(0, 1), min_size=1, max_size=5))
def test_stations_measure_along_the_curve(chain: Chain, shares: list[float]) -> None:
    whole = length(chain)
    stations = np.sort(np.array(shares)) * whole
    points, tangents = points_at_stations(chain, stations)
    assert np.hypot(*tangents.T) == pytest.approx(np.ones(len(stations)))
    if len(stations) > 1:
        gaps = np.hypot(*np.diff(points, axis=0).T)
        assert (gaps <= np.diff(stations) + 1e-6).all()


@given(chains(), st.floats(0.01, 0.99))
def test_a_point_on_the_curve_is_its_own_nearest(chain: Chain, share: float) -> None:
    point, _ = points_at_stations(chain, np.array([share * length(chain)]))
    assert nearest(chain, point).distance[0] == pytest.approx(0, abs=1e-6)


def test_nearest_places_on_a_circle_by_hand() -> None:
    found = nearest(circle((0, 0), 5), np.array([[20.0, 0.0], [0.0, -1.0]]))
    assert found.distance == pytest.approx([15, 4])
    assert found.point == pytest.approx(np.array([[5.0, 0.0], [0.0, -5.0]]))
    assert found.station[1] == pytest.approx(5 * 1.5 * math.pi)


def test_end_tangents_survive_a_handle_on_its_end() -> None:
    start, end = end_tangents(cubic((0, 0), (0, 0), (10, 0), (10, 10)))
    assert start == pytest.approx([1, 0], abs=1e-5)
    assert end == pytest.approx([0, 1])


def test_turns_of_a_square_are_right_angles() -> None:
    square = polyline([(0, 0), (1, 0), (1, 1), (0, 1)], closed=True)
    assert np.degrees(joint_turns(square)) == pytest.approx([90] * 4)
    assert joint_turns(line((0, 0), (1, 0))).shape == (0,)


def test_half_a_disc_by_hand() -> None:
    half = arc((0, 0), 10, 0, math.pi)
    assert signed_area(closed_up(polyline([(0, 0), (3, 0), (3, 4), (0, 0)]))) == pytest.approx(6)
    assert bounds(half) == pytest.approx((-10, 0, 10, 10), abs=1e-12)
