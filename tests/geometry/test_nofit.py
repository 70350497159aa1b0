"""No-fit polygons and grown outlines, judged by shapely on the polygons themselves."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings, strategies as st

from cutpath.geometry.chain import Chain, make_chain, polyline
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import bounds
from cutpath.geometry.nofit import PER_MM, Ring, as_path, free_places, no_fit, no_fit_box
from cutpath.geometry.outward import grown
from cutpath.geometry.points import Points, as_points


@st.composite
def stars(draw: st.DrawFn) -> Points:
    """Simple polygons about the origin, convex or with deep bays, whole millimetres."""
    count = draw(st.integers(3, 8))
    spokes = draw(st.lists(st.integers(10, 60), min_size=count, max_size=count))
    turns = np.linspace(0, 2 * math.pi, count, endpoint=False)
    points = np.rint(np.array(spokes)[:, None] * np.stack([np.cos(turns), np.sin(turns)], axis=1))
    shape = shapely.Polygon(points)
    assume(shape.is_valid and shape.area > 100 and shape.exterior.is_ccw)
    return as_points(points)


@settings(max_examples=150, deadline=None)
@given(stars(), stars(), st.floats(-130, 130), st.floats(-130, 130))
def test_inside_the_no_fit_polygon_both_overlap_and_outside_not(
    fixed: Points, moving: Points, x: float, y: float
) -> None:
    one, other = Ring.of(as_path(fixed)), Ring.of(as_path(moving))
    rings = no_fit(one, other)
    place = shapely.Point(x * PER_MM, y * PER_MM)
    inside = sum(shapely.Polygon(ring).contains(place) for ring in rings) % 2 == 1
    a, b = shapely.Polygon(fixed), shapely.Polygon(moving + np.array([x, y]))
    shared = a.intersection(b).area
    near = min(shapely.Polygon(ring).exterior.distance(place) for ring in rings) < 2
    if not near:
        assert inside == (shared > 0)


@given(stars(), stars())
def test_its_box_is_known_beforehand(fixed: Points, moving: Points) -> None:
    one, other = Ring.of(as_path(fixed)), Ring.of(as_path(moving))
    points = np.concatenate(no_fit(one, other))
    assert no_fit_box(one, other) == (*points.min(axis=0), *points.max(axis=0))


def test_a_bar_may_lie_in_a_closed_pocket() -> None:
    c = [(0, 0), (60, 0), (60, 25), (50, 25), (50, 10), (10, 10), (10, 50), (50, 50), (50, 35),
         (60, 35), (60, 60), (0, 60)]  # fmt: skip
    bar = [(0, 0), (30, 0), (30, 30), (0, 30)]
    rings = no_fit(Ring.of(as_path(np.array(c))), Ring.of(as_path(np.array(bar))))
    assert len(rings) == 2
    hole = min(rings, key=lambda ring: shapely.Polygon(ring).area)
    # The pocket is 40 × 40, so the bar's corner may move by 10 × 10.
    assert shapely.Polygon(hole).area == pytest.approx((10 * PER_MM) ** 2)


def test_the_best_corner_of_a_room_is_found() -> None:
    """Two squares in a corner: the third goes on top of the first or beside the second."""
    square = as_path(np.array([(0, 0), (10, 0), (10, 10), (0, 10)]))
    ring = Ring.of(square)
    (forbidden,) = no_fit(ring, ring)
    taken = [forbidden, forbidden + np.array([10 * PER_MM, 0])]
    corners = free_places((0, 0, 90 * PER_MM, 20 * PER_MM), taken)
    assert min(map(tuple, corners.tolist())) == (0, 10 * PER_MM)
    corners = free_places((0, 0, 90 * PER_MM, 9 * PER_MM), taken)
    assert min(map(tuple, corners.tolist())) == (20 * PER_MM, 0)


@st.composite
def curved(draw: st.DrawFn) -> Chain:
    points = draw(stars())
    bulges = draw(st.lists(st.floats(-0.15, 0.4), min_size=len(points), max_size=len(points)))
    chain = make_chain(points * 10, bulges, closed=True)
    flat = shapely.Polygon(flatten(chain, 0.01).points)
    assume(flat.is_valid and flat.exterior.is_ccw)
    return chain


@settings(max_examples=100, deadline=None)
@given(curved(), st.floats(0.0, 12.0), st.sampled_from([0.0, 0.002, 0.05]))
def test_a_grown_outline_holds_all_within_and_wastes_little(
    chain: Chain, by: float, waste: float
) -> None:
    ring = shapely.Polygon(grown(chain, by, waste))
    true = shapely.Polygon(flatten(chain, 0.001).points)
    assert ring.is_valid
    assert ring.exterior.is_ccw
    assert ring.buffer(1e-6).covers(true.buffer(by, quad_segs=32))
    low_x, low_y, high_x, high_y = bounds(chain)
    box = np.array([low_x - by, low_y - by, high_x + by, high_y + by])
    assert np.abs(np.array(ring.bounds) - box).max() <= by + 1
    assert shapely.box(*box).buffer(1e-6).covers(ring)
    # Corners of the growing may stand out by the mitre's limit.
    corners = len(chain) * 4 * (by + 0.06) ** 2
    spent = ring.area - true.buffer(by + 0.06, quad_segs=32).area
    assert spent <= 10 * waste * true.area * 1.2 + corners + 0.06 * true.length


def test_a_grown_rectangle_is_a_rectangle() -> None:
    chain = polyline([(0, 0), (100, 0), (100, 50), (0, 50)], closed=True)
    assert sorted(grown(chain, 2.0).tolist()) == [[-2, -2], [-2, 52], [102, -2], [102, 52]]
    with pytest.raises(ValueError, match="area"):
        grown(polyline([(0, 0), (100, 0), (50, 0)], closed=True), 2.0)
