import math

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain, circle
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.geometry.transform import (
    arcs_as_cubics,
    compose,
    is_similarity,
    moved_points,
    reflection,
    rotation,
    scaling,
    transformed,
    translation,
)
from tests.geometry.strategies import chains


@given(chains(closed=True), st.floats(-7, 7), st.floats(-500, 500))
def test_a_rigid_motion_keeps_length_and_area(chain: Chain, angle: float, shift: float) -> None:
    moved = transformed(chain, compose(translation(shift, -shift), rotation(angle)))
    assert length(moved) == pytest.approx(length(chain), rel=1e-9)
    assert signed_area(moved) == pytest.approx(signed_area(chain), abs=1e-3)


@given(chains(closed=True))
def test_mirroring_twice_gives_the_original_and_once_turns_the_area(chain: Chain) -> None:
    mirror = reflection(np.array([5.0, 3.0]), np.array([0.6, 0.8]))
    once = transformed(chain, mirror)
    assert signed_area(once) == pytest.approx(-signed_area(chain), abs=1e-3)
    assert transformed(once, mirror).points == pytest.approx(chain.points, abs=1e-9)


def test_the_rightmost_matrix_acts_first() -> None:
    matrix = compose(translation(10, 20), scaling(2))
    assert moved_points(np.array([[3.0, 4.0]]), matrix)[0] == pytest.approx([16, 28])


@given(st.floats(0.5, 5000), st.floats(0.1, 3), st.floats(0.1, 3))
def test_a_stretched_circle_is_an_ellipse_within_a_hundredth_of_a_micron(
    radius: float, sx: float, sy: float
) -> None:
    stretched = transformed(circle((0, 0), radius), scaling(sx, sy))
    points = flatten(stretched, 0.05 * radius).points
    level = np.hypot(points[:, 0] / sx, points[:, 1] / sy)
    assert np.abs(level - radius).max() < 2e-5
    assert bounds(stretched)[2] == pytest.approx(radius * sx, abs=2e-5 * max(sx, 1))


def test_cubic_arcs_stay_within_the_tolerance_stated() -> None:
    for tolerance in (1e-2, 1e-5):
        smooth = arcs_as_cubics(circle((0, 0), 800), tolerance)
        off = np.abs(np.hypot(*flatten(smooth, 1e-4).points.T) - 800).max()
        assert off <= tolerance


def test_uneven_scaling_is_no_similarity() -> None:
    assert is_similarity(compose(scaling(3), rotation(1)))
    assert is_similarity(scaling(-2, 2))
    assert not is_similarity(scaling(2, 2.001))
    assert not is_similarity(np.array([[1, math.tan(0.1), 0], [0, 1, 0]]))
