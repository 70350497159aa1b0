import math

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain, circle, cubic, make_chain, polyline
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import direction
from cutpath.geometry.rays import ray_hits
from tests.geometry.strategies import chains

SQUARE = polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)


def test_a_square_is_left_once_and_crossed_twice() -> None:
    east = np.array([1.0, 0.0])
    np.testing.assert_allclose(ray_hits(SQUARE, np.array([4.0, 5.0]), east), [6])
    np.testing.assert_allclose(ray_hits(SQUARE, np.array([-2.0, 5.0]), east), [2, 12])
    assert not len(ray_hits(SQUARE, np.array([12.0, 5.0]), east))


def test_a_corner_and_the_line_it_stands_on_are_met() -> None:
    north = np.array([0.0, 1.0])
    hits = ray_hits(SQUARE, np.array([10.0, -5.0]), north)
    np.testing.assert_allclose(hits, [5, 15])
    np.testing.assert_allclose(ray_hits(SQUARE, np.array([3.0, 0.0]), -north), [0])


@given(st.floats(0, 2 * math.pi), st.floats(0, 90))
def test_a_circle_is_met_where_its_equation_says(angle: float, off: float) -> None:
    # |o + t d| = r with o on the x axis: t = −o·d ± √((o·d)² − o² + r²).
    way, origin = direction(angle), np.array([off, 0.0])
    along = float(origin @ way)
    far = -along + math.sqrt(along**2 - off**2 + 100.0**2)
    hits = ray_hits(circle((0, 0), 100.0), origin, way)
    assert hits[0] == pytest.approx(far)


@given(chains(cubics=False), st.floats(0, 2 * math.pi))
def test_every_hit_lies_on_the_chain(chain: Chain, angle: float) -> None:
    way, origin = direction(angle), np.array([3.0, 7.0])
    hits = ray_hits(chain, origin, way)
    if len(hits):
        assert (np.diff(hits) > 0).all()
        assert nearest(chain, origin + hits[:, None] * way).distance.max() < 1e-6


def test_an_arc_of_a_million_kilometres_is_met_as_exactly_as_its_chord() -> None:
    flat = make_chain([(0.0, 958.0), (0.0, 0.0)], [1e-10])
    way = direction(2.0)
    hits = ray_hits(flat, np.array([3.0, 7.0]), way)
    np.testing.assert_allclose(hits, [3.0 / -way[0]], rtol=1e-9)


def test_free_curves_are_refused() -> None:
    with pytest.raises(ValueError, match="arcs"):
        ray_hits(cubic((0, 0), (1, 1), (2, 1), (3, 0)), np.zeros(2), np.array([1.0, 0.0]))
