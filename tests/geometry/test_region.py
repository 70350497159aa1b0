import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, strategies as st

from cutpath.geometry.chain import Chain, circle, make_chain, polyline, reversed_chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import signed_area
from cutpath.geometry.region import difference, intersection, union
from cutpath.geometry.soundness import is_simple


def box(x: float, y: float, width: float, height: float) -> Chain:
    return polyline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True)


def lens(radius: float, apart: float) -> float:
    """Area shared by two equal circles, in closed form."""
    half = math.acos(apart / 2 / radius)
    return 2 * radius**2 * half - apart / 2 * math.sqrt(4 * radius**2 - apart**2)


@given(st.floats(1, 500), st.floats(0.2, 1.8))
def test_two_circles_keep_exact_arcs(radius: float, share: float) -> None:
    apart = share * radius
    first, second = circle((3, -7), radius), circle((3 + apart, -7), radius)
    both = union([first, second])
    assert len(both) == 1
    shared = lens(radius, apart)
    assert signed_area(both[0]) == pytest.approx(2 * math.pi * radius**2 - shared, rel=1e-7)
    assert both[0].is_arc.all()
    common = intersection([first], [second])
    assert signed_area(common[0]) == pytest.approx(shared, rel=1e-5)


def test_a_hole_comes_out_clockwise() -> None:
    loops = difference([box(0, 0, 30, 20)], [circle((15, 10), 5)])
    areas = sorted(signed_area(loop) for loop in loops)
    assert areas == pytest.approx([-25 * math.pi, 600])


def test_edges_that_touch_are_merged_without_a_spike() -> None:
    loops = union([box(0, 0, 10, 10), box(10, 2, 5, 5), box(3, 10, 4, 4)])
    assert len(loops) == 1
    assert signed_area(loops[0]) == pytest.approx(100 + 25 + 16)
    assert is_simple(loops[0])


def test_clockwise_and_empty_loops_add_nothing() -> None:
    assert union([reversed_chain(box(0, 0, 10, 10))]) == ()
    assert union([polyline([(0, 0), (10, 0), (5, 0)], closed=True)]) == ()


@st.composite
def blobs(draw: st.DrawFn) -> Chain:
    """Star-shaped loops of lines and gentle arcs, counter-clockwise."""
    count = draw(st.integers(3, 9))
    radii = np.array(draw(st.lists(st.floats(50, 300), min_size=count, max_size=count)))
    bends = draw(st.lists(st.floats(-0.15, 0.15), min_size=count, max_size=count))
    angles = np.linspace(0, 2 * np.pi, count, endpoint=False) + draw(st.floats(0, 1))
    shift = np.array(draw(st.tuples(st.floats(-200, 200), st.floats(-200, 200))))
    joints = shift + radii[:, None] * np.column_stack([np.cos(angles), np.sin(angles)])
    return make_chain(joints, bends, closed=True)


@given(blobs(), blobs())
def test_regions_agree_with_shapely(a: Chain, b: Chain) -> None:
    shapes = [shapely.Polygon(flatten(loop, 0.001).points) for loop in (a, b)]
    assume(all(shape.is_valid for shape in shapes))
    first, second = shapes
    for ours, theirs in (
        (union([a, b]), first | second),
        (difference([a], [b]), first - second),
        (intersection([a], [b]), first & second),
    ):
        area = sum(signed_area(loop) for loop in ours)
        assert area == pytest.approx(theirs.area, abs=0.003 * theirs.length + 0.1)
        assert all(is_simple(loop) for loop in ours)


def test_boxes_that_share_a_divided_edge_become_one() -> None:
    low = polyline(
        [(-12.7, -38.1), (0, -38.1), (100, -38.1), (212.7, -38.1), (212.7, 0), (-12.7, 0)],
        closed=True,
    )
    below = polyline(
        [(-12.7, -50.8), (212.7, -50.8), (212.7, -38.1), (100, -38.1), (0, -38.1), (-12.7, -38.1)],
        closed=True,
    )
    loops = union([low, below])
    assert [signed_area(loop) for loop in loops] == pytest.approx([225.4 * 50.8])
    assert len(loops[0]) == 4
