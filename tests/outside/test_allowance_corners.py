"""Corners of allowances against closed forms.

The formulas are derived from plane geometry (two lines at given distances from a point; mirror
images); when to use which corner is common practice, no source, except where cited.
"""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain, circle, line, make_chain, polyline, segments
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import length, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.model import Allowance, Corner, Edge
from cutpath.path.allowance import add_allowance


def wedge(theta_deg: float, reach: float = 1000.0) -> list[Edge]:
    """A triangle whose corner at the origin, between edges 0 and 1, has interior angle θ."""
    theta = math.radians(theta_deg)
    # Edge 0 arrives along +x at the origin; edge 1 leaves turned left by 180° − θ.
    away = np.array([math.cos(math.pi - theta), math.sin(math.pi - theta)]) * reach
    corners = [(-reach, 0.0), (0.0, 0.0), tuple(away)]
    return [
        Edge("in", line(corners[0], corners[1])),
        Edge("out", line(corners[1], corners[2])),
        Edge("far", line(corners[2], corners[0])),
    ]


def allow(width: float, *, hem: bool = False, turn_under: float = 0.0) -> Allowance:
    if hem:
        return Allowance("hem", width, turn_under, Corner.FOLD)
    return Allowance("plain", width, 0.0, Corner.MITRE)


def farthest_from_corner(cut: Chain, reach: float) -> float:
    near = cut.points[np.hypot(*cut.points.T) < reach]
    return float(np.hypot(*near.T).max())


@pytest.mark.parametrize(
    ("a", "b", "theta", "expected"),
    [
        (13, 13, 90, 18.385),
        (13, 13, 60, 26.000),
        (13, 38, 90, 40.162),
        (13, 38, 75, 44.754),
    ],
)
def test_a_mitre_reaches_the_crossing_of_the_parallels(
    a: float, b: float, theta: float, expected: float
) -> None:
    # |PQ| = sqrt(a² + b² + 2ab cos θ) / sin θ, derived.
    cut, _ = add_allowance(wedge(theta), [allow(a), allow(b), allow(0)], [None] * 3)
    assert farthest_from_corner(cut.cut, 60) == pytest.approx(expected, abs=5e-4)


def test_a_sharp_mitre_is_bevelled_at_the_limit() -> None:
    cut, _ = add_allowance(wedge(30), [allow(13), allow(13), allow(0)], [None] * 3, limit=2.5)
    # The uncut tip would be 50.228 mm away; the bevel stands square to the bisector at 32.5.
    bisector = np.array([math.cos(math.radians(-15)), math.sin(math.radians(-15))])
    assert (cut.cut.points @ bisector).max() == pytest.approx(32.5, abs=1e-6)


def test_a_square_end_is_as_long_as_the_allowance_and_square_to_the_stitch_line() -> None:
    edges = wedge(70)
    cut, _ = add_allowance(edges, [allow(13)] * 3, [None, Corner.SQUARE, None])
    loop = cut.cut.points
    at = int(np.hypot(*loop.T).argmin())
    assert np.hypot(*loop[at]) < 1e-6
    ends = [loop[at - 1], loop[(at + 1) % len(loop)]]
    tangents = [edge.chain.last - edge.chain.first for edge in edges[:2]]
    for end, tangent in zip(ends, tangents, strict=True):
        assert np.hypot(*end) == pytest.approx(13, abs=1e-6)
        assert end @ tangent == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize(
    ("theta", "expected"), [(60, -21.939), (80, -6.700), (100, 6.700), (120, 21.939), (90, 0.0)]
)
def test_a_folded_hem_ends_on_the_mirror_image_of_the_side(theta: float, expected: float) -> None:
    # x = −y cot θ at depth y = 38 (derived); the hem is edge "in", the side is bound (0).
    cut, _ = add_allowance(wedge(theta), [allow(38, hem=True), allow(0), allow(0)], [None] * 3)
    deepest = cut.cut.points[np.abs(cut.cut.points[:, 1] + 38) < 1e-6]
    assert deepest[:, 0].max() == pytest.approx(expected, abs=1e-3)


def test_a_twice_turned_hem_mirrors_twice() -> None:
    # x = −(2h − y) cot θ between h and h + u: h 25, u 13, θ 100° (derived).
    hem = allow(38, hem=True, turn_under=13)
    cut, _ = add_allowance(wedge(100), [hem, allow(0), allow(0)], [None] * 3)
    for depth, expected in ((25.0, 4.408), (38.0, 2.116)):
        row = cut.cut.points[np.abs(cut.cut.points[:, 1] + depth) < 1e-6]
        assert row[:, 0].max() == pytest.approx(expected, abs=1e-3)
    assert len(cut.folds) == 2


def test_a_hem_of_one_inch_turned_under_half_an_inch_takes_38_1() -> None:
    # US Army FM 10-16 (24 May 2000), ch. 8: hem 1 in, turned under 1/2 in.
    hem = allow(25.4 + 12.7, hem=True, turn_under=12.7)
    cut, _ = add_allowance(wedge(90), [hem, allow(0), allow(0)], [None] * 3)
    assert cut.cut.points[:, 1].min() == pytest.approx(-38.1, abs=1e-9)
    assert cut.folds[1].points[:, 1].min() == pytest.approx(-25.4, abs=1e-9)


@given(
    theta=st.floats(45, 135),
    depth=st.floats(10, 60),
    side=st.floats(0, 25),
    curve=st.floats(-0.1, 0.1),
)
def test_a_folded_hem_lies_exactly_on_the_panel(
    theta: float, depth: float, side: float, curve: float
) -> None:
    edges = wedge(theta)
    bowed = make_chain(edges[1].chain.points, [curve])
    edges[1] = Edge("out", bowed)
    cut, _ = add_allowance(edges, [allow(depth, hem=True), allow(side), allow(0)], [None] * 3)
    whole = shapely.Polygon(flatten(cut.cut, 0.001).points)
    hem = whole & shapely.box(-300, -depth, 400, 0)
    folded = shapely.affinity.scale(hem, 1, -1, origin=(0, 0))
    under = whole & shapely.box(-300, 0, 400, depth)
    assert (folded ^ under).area < 0.01 * depth + 0.05


def test_two_equal_hems_on_a_square_corner_crease_to_the_trimmed_triangle() -> None:
    # Legs 2h − s√2 = 41.515 for h 25, s 6 (derived).
    hems = [allow(25, hem=True), allow(25, hem=True), allow(0)]
    cut, _ = add_allowance(wedge(90), hems, [None, Corner.CREASE, None])
    tip = np.array([25.0, -25.0])
    on_hem = cut.cut.points[np.abs(cut.cut.points[:, 1] + 25) < 1e-6]
    assert tip[0] - on_hem[:, 0].max() == pytest.approx(2 * 25 - 6 * math.sqrt(2), abs=1e-3)
    assert (cut.cut.points @ np.array([1, -1]) / math.sqrt(2)).max() == pytest.approx(6, abs=1e-6)


def rounded_square(side: float, radius: float) -> list[Edge]:
    s, r = side, radius
    bend = math.tan(math.pi / 8)
    joints = [(r, 0), (s - r, 0), (s, r), (s, s - r), (s - r, s), (r, s), (0, s - r), (0, r)]
    loop = make_chain([*joints, joints[0]], [0, bend] * 4)
    return [Edge(f"e{i}", piece) for i, piece in enumerate(segments(loop))]


@given(side=st.floats(50, 2000), share=st.floats(0.05, 0.45), width=st.floats(1, 60))
def test_round_corners_grow_by_steiners_formula(side: float, share: float, width: float) -> None:
    # Area of a parallel body: A + a·L + π a² (J. Steiner, 1840).
    edges = rounded_square(side, share * side)
    cut, _ = add_allowance(edges, [allow(width)] * 8, [None] * 8)
    area, around = signed_area(cut.net), length(cut.net)
    assert signed_area(cut.cut) == pytest.approx(
        area + width * around + math.pi * width**2, rel=1e-9
    )
    assert np.count_nonzero(cut.cut.bulges) == 4


def test_a_circle_grows_to_a_circle() -> None:
    rim = circle((5, 7), 300)
    edge = Edge("rim", make_chain([*rim.points, rim.points[0]], rim.bulges))
    cut, _ = add_allowance([edge], [allow(12.7)], [None])
    assert signed_area(cut.cut) == pytest.approx(math.pi * 312.7**2, rel=1e-9)
    assert len(cut.cut) == 2


@given(
    st.lists(st.tuples(st.floats(0.3, 1.0), st.floats(1, 60)), min_size=3, max_size=14),
    st.floats(20, 400),
)
def test_any_star_gives_one_simple_outline_that_keeps_every_allowance(
    spokes: list[tuple[float, float]], size: float
) -> None:
    angles = np.linspace(0, 2 * np.pi, len(spokes), endpoint=False)
    radius = np.array([share for share, _ in spokes]) * size
    joints = np.column_stack([radius * np.cos(angles), radius * np.sin(angles)])
    loop = polyline(joints, closed=True)
    edges = [Edge(f"e{i}", piece) for i, piece in enumerate(segments(loop))]
    widths = [width for _, width in spokes]
    cut, _ = add_allowance(edges, [allow(width) for width in widths], [None] * len(edges))
    outline = shapely.Polygon(flatten(cut.cut, 0.001).points)
    assert outline.is_valid
    assert signed_area(cut.cut) > 0
    net = shapely.Polygon(joints)
    assert outline.buffer(1e-3).covers(net)
    # The cloth outside the middle of each edge is there for its whole width.
    middles = np.array([(e.chain.first + e.chain.last) / 2 for e in edges])
    along = np.array([e.chain.last - e.chain.first for e in edges])
    along /= np.hypot(*along.T)[:, None]
    outward = np.column_stack([along[:, 1], -along[:, 0]])
    for middle, normal, width, edge in zip(middles, outward, widths, edges, strict=True):
        if length(edge.chain) > 5 * max(widths):
            ray = shapely.LineString([middle, middle + normal * (width - 1e-2)])
            assert outline.buffer(1e-3).covers(ray)


def test_an_inward_arc_tighter_than_its_allowance_closes_cleanly() -> None:
    # A half-round bite of radius 8 in a straight edge, allowance 12.7: the bite fills in.
    loop = make_chain(
        [(0, 0), (40, 0), (56, 0), (100, 0), (100, 80), (0, 80)],
        [0, -1.0, 0, 0, 0, 0],
        closed=True,
    )
    edges = [Edge(f"e{i}", piece) for i, piece in enumerate(segments(loop))]
    cut, _ = add_allowance(edges, [allow(12.7)] * 6, [None] * 6)
    outline = shapely.Polygon(flatten(cut.cut, 0.001).points)
    assert outline.is_valid
    expected = shapely.Polygon(flatten(cut.net, 0.001).points).buffer(12.7, join_style="mitre")
    assert (outline ^ expected).area < 0.5


@given(bend=st.floats(-0.4, 0.4), width=st.floats(2, 60))
def test_the_parallel_of_an_arc_is_an_arc_at_the_exact_distance(bend: float, width: float) -> None:
    loop = make_chain([(0, 0), (900, 0), (900, 700), (0, 700)], [bend, 0, 0, 0], closed=True)
    edges = [Edge(f"e{i}", piece) for i, piece in enumerate(segments(loop))]
    cut, _ = add_allowance(edges, [allow(width)] * 4, [None] * 4)
    around = flatten(cut.cut, 0.01).points
    away = nearest(edges[0].chain, around)
    on_strip = (away.station > 1) & (away.station < length(edges[0].chain) - 1)
    below = around[:, 1] < 0 if bend <= 0 else around[:, 1] < 400
    measured = away.distance[on_strip & below]
    assert measured == pytest.approx(np.full(len(measured), width), abs=1e-6)


def test_a_corner_that_turns_right_back_gets_a_square_cap() -> None:
    # A slit-like spike: two edges that leave their corner the way they came.
    corners = [(0.0, 0.0), (400.0, 0.0), (400.0, 200.0), (200.0, 200.0), (200.0, 300.0)]
    spike = make_chain([*corners, (199.9999, 200.0), (0.0, 200.0)], closed=True)
    edges = [Edge(f"e{i}", piece) for i, piece in enumerate(segments(spike))]
    cut, _ = add_allowance(edges, [allow(10)] * 7, [None] * 7)
    assert np.isfinite(cut.cut.points).all()
    assert cut.cut.points[:, 1].max() == pytest.approx(310, abs=1e-3)


def test_a_hem_stays_with_its_panel_however_it_is_turned() -> None:
    # Cut to shape, a hem no longer shares its vertices with the net line; it must still join.
    flat = np.array([(0, 0), (400, 0), (430, 250), (-20, 250)], dtype=float)
    draws = np.random.default_rng(0)
    for _ in range(60):
        angle, depth = draws.uniform(0, 2 * math.pi), draws.uniform(5, 60)
        turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
        joints = flat @ turn.T + draws.uniform(-300, 300, 2)
        edges = [Edge(f"e{i}", e) for i, e in enumerate(segments(polyline(joints, closed=True)))]
        hem = allow(depth, hem=True, turn_under=depth / 3)
        corners = [None, Corner.SQUARE, None, None]
        cut, _ = add_allowance(edges, [hem, *[allow(12.7)] * 3], corners)
        bare, _ = add_allowance(edges, [allow(0), *[allow(12.7)] * 3], corners)
        gained = signed_area(cut.cut) - signed_area(bare.cut)
        assert gained == pytest.approx(400 * depth, rel=0.3)
