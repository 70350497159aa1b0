import itertools
import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.errors import Source
from cutpath.geometry.chain import Chain, arc, closed_up, joined, line, polyline
from cutpath.geometry.gaps import gaps
from cutpath.geometry.measure import length, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.geometry.soundness import is_simple
from cutpath.model import Allowance, Corner, Edge, Mark, NotchShape
from cutpath.path.allowance import add_allowance
from cutpath.path.notching import Notched, notch, notch_depth

PLACE = Source(file="drawing.dxf", layer="MARKS")


def edges_of(points: Sequence[tuple[float, float]]) -> list[Edge]:
    ends = [*points[1:], points[0]]
    return [Edge(f"e{i}", line(a, b)) for i, (a, b) in enumerate(zip(points, ends, strict=True))]


def cut_for(edges: Sequence[Edge], widths: Sequence[float]) -> Chain:
    allowances = [Allowance("plain", width, 0.0, Corner.MITRE) for width in widths]
    return add_allowance(edges, allowances, [None] * len(edges))[0].cut


def notched(
    edges: Sequence[Edge],
    widths: Sequence[float],
    marks: Sequence[tuple[str, float]],
    shape: NotchShape = NotchShape.SLIT,
    wanted: float = 5.0,
) -> Notched:
    named = [Mark(f"m{i}", edge, at, PLACE) for i, (edge, at) in enumerate(marks)]
    return notch(cut_for(edges, widths), edges, named, shape, wanted)[0]


SQUARE = edges_of([(0, 0), (400, 0), (400, 300), (0, 300)])


@pytest.mark.parametrize(
    ("allowance", "depth"),
    # common practice, no source: 3 mm stay uncut, below 7 mm a pen tick. Of 7 mm the half counts.
    [(13.0, 5.0), (12.7, 5.0), (9.0, 4.5), (7.0, 3.5), (6.9, 0.0), (6.0, 0.0), (0.0, 0.0)],
)
def test_depth_is_what_the_allowance_bears(allowance: float, depth: float) -> None:
    assert notch_depth(5.0, allowance) == pytest.approx(depth)


@given(st.floats(0, 60), st.floats(0.5, 30))
def test_a_notch_never_takes_more_than_half_nor_comes_near_the_stitch_line(
    allowance: float, wanted: float
) -> None:
    depth = notch_depth(wanted, allowance)
    assert 0 <= depth <= min(wanted, allowance / 2)
    assert depth == 0 or allowance - depth >= 3.0


def test_a_slit_stands_on_the_cut_line_square_to_the_seam() -> None:
    made = notched(SQUARE, [13.0] * 4, [("e0", 150.0)])
    (slit,) = made.notches
    np.testing.assert_allclose(slit.points, [[150.0, -13.0], [150.0, -8.0]], atol=1e-9)
    assert not made.ticks


def test_a_vee_opens_on_the_cut_line_and_points_inward() -> None:
    (vee,) = notched(SQUARE, [13.0] * 4, [("e0", 150.0)], NotchShape.VEE).notches
    np.testing.assert_allclose(
        vee.points, [[152.5, -13.0], [150.0, -8.0], [147.5, -13.0]], atol=1e-9
    )


def test_an_outward_vee_is_part_of_the_outline() -> None:
    plain = cut_for(SQUARE, [13.0] * 4)
    made = notched(SQUARE, [13.0] * 4, [("e0", 150.0), ("e2", 20.0)], NotchShape.OUTWARD)
    assert not made.notches
    assert is_simple(made.cut)
    # Two triangles 5 mm wide and 5 mm high.
    assert signed_area(made.cut) == pytest.approx(signed_area(plain) + 2 * 12.5, abs=0.01)
    assert made.cut.points[:, 1].min() == pytest.approx(-18.0, abs=1e-4)


@pytest.mark.parametrize(("sign", "on_cut"), [(1, 506.5), (-1, 493.5)])
def test_on_a_curve_the_cut_line_carries_notches_farther_apart_or_closer(
    sign: int, on_cut: float
) -> None:
    # Closed form: marks s apart on a stitch line of radius r are s (r ± a) / r apart on its
    # parallel; 500 mm on r = 1000 mm with a = 13 mm.
    bow = arc((0, 0), 1000.0, math.pi / 2 - 0.4, 0.8)
    if sign < 0:  # the hollow side: run the arc the other way, with the cloth above it
        bow = Chain(bow.points[::-1], -bow.bulges[::-1], bow.handles, closed=False)
    far = 600.0 if sign > 0 else 1400.0
    tops = (np.array([bow.last[0], far]), np.array([bow.first[0], far]))
    ends = [bow.last, *tops, bow.first]
    edges = [Edge("bow", bow)] + [
        Edge(f"s{i}", line(a, b)) for i, (a, b) in enumerate(itertools.pairwise(ends))
    ]
    made = notched(edges, [13.0] * 4, [("bow", 150.0), ("bow", 650.0)])
    feet = np.array([stroke.first for stroke in made.notches])
    angles = np.arctan2(feet[:, 1], feet[:, 0])
    radius = np.hypot(*feet.T)
    np.testing.assert_allclose(radius, 1000 + 13 * sign, atol=1e-6)
    assert abs(angles[1] - angles[0]) * radius[0] == pytest.approx(on_cut, abs=1e-3)
    for stroke in made.notches:  # along the radius
        assert abs(np.hypot(*stroke.last) - radius[0]) == pytest.approx(5.0)
        assert math.atan2(stroke.last[1], stroke.last[0]) == pytest.approx(
            math.atan2(stroke.first[1], stroke.first[0])
        )


def test_a_narrow_allowance_is_ticked_within_itself_and_said() -> None:
    cut = cut_for(SQUARE, [6.0, 13.0, 13.0, 13.0])
    marks = [Mark("a", "e0", 50.0, PLACE), Mark("b", "e0", 90.0, PLACE)]
    made, findings = notch(cut, SQUARE, marks, NotchShape.SLIT, 5.0)
    assert not made.notches
    np.testing.assert_allclose(made.ticks[0].points, [[50, -6], [50, 0]], atol=1e-9)
    (finding,) = findings
    assert "'a', 'b' on edge 'e0'" in finding.message
    assert finding.source.xy == (50.0, 0.0)


def test_a_bound_edge_is_ticked_inside_and_nothing_is_said() -> None:
    cut = cut_for(SQUARE, [0.0, 13.0, 13.0, 13.0])
    made, findings = notch(cut, SQUARE, [Mark("a", "e0", 50.0, PLACE)], NotchShape.VEE, 5.0)
    assert not made.notches
    assert not findings
    np.testing.assert_allclose(made.ticks[0].points, [[50, 0], [50, 5]], atol=1e-9)


def test_no_notches_wanted_means_ticks_that_sewing_hides() -> None:
    made = notched(SQUARE, [13.0, 38.1, 13.0, 13.0], [("e0", 50.0), ("e1", 50.0)], NotchShape.NONE)
    assert not made.notches
    for tick in made.ticks:
        assert length(tick) == pytest.approx(10.0)
        assert not ((tick.points > 0.1) & (tick.points < [399.9, 299.9])).all(axis=1).any()


def test_a_mark_on_the_very_corner_is_notched_square_to_its_own_edge() -> None:
    made = notched(SQUARE, [13.0] * 4, [("e0", 0.0), ("e0", 400.0)])
    np.testing.assert_allclose(made.notches[0].points, [[0, -13], [0, -8]], atol=1e-6)
    np.testing.assert_allclose(made.notches[1].points, [[400, -13], [400, -8]], atol=1e-6)


def test_beside_an_inward_corner_no_notch_is_put_in_the_neighbours_allowance() -> None:
    ell = edges_of([(0, 0), (400, 0), (400, 150), (200, 150), (200, 300), (0, 300)])
    cut = cut_for(ell, [13.0] * 6)
    marks = [Mark("near", "e2", 197.0, PLACE), Mark("clear", "e2", 100.0, PLACE)]
    made, findings = notch(cut, ell, marks, NotchShape.SLIT, 5.0)
    assert len(made.notches) == 1
    assert len(made.ticks) == 1
    assert "'near'" in findings[0].message


def test_a_vee_with_no_room_for_its_mouth_is_a_slit() -> None:
    # One millimetre from a square end of the cut line, half the mouth would hang in the air.
    allowances = [Allowance("plain", 13.0, 0.0, Corner.SQUARE)] * 4
    cut = add_allowance(SQUARE, allowances, [Corner.SQUARE] * 4)[0].cut
    marks = [Mark("m", "e0", 1.0, PLACE)]
    (stroke,) = notch(cut, SQUARE, marks, NotchShape.VEE, 5.0)[0].notches
    assert len(stroke) == 1


radii = st.floats(0.2, 1.0)


@st.composite
def panels(draw: st.DrawFn) -> tuple[list[Edge], list[float], list[tuple[str, float]]]:
    count = draw(st.integers(3, 9))
    corners = [
        (
            300 * draw(radii) * math.cos(2 * math.pi * i / count),
            300 * draw(radii) * math.sin(2 * math.pi * i / count),
        )
        for i in range(count)
    ]
    edges = edges_of(corners)
    widths = draw(st.lists(st.sampled_from([0.0, 6.0, 12.7, 25.4]), min_size=count, max_size=count))
    marks = [
        (edge.name, draw(st.floats(0, 1)) * length(edge.chain))
        for edge in edges
        if draw(st.booleans())
    ]
    return edges, widths, marks


@given(panels(), st.sampled_from(list(NotchShape)))
def test_on_any_panel_every_mark_is_made_and_no_notch_nears_the_stitch_line(
    panel: tuple[list[Edge], list[float], list[tuple[str, float]]], shape: NotchShape
) -> None:
    edges, widths, marks = panel
    net = closed_up(joined([edge.chain for edge in edges]))
    plain = cut_for(edges, widths)
    made = notched(edges, widths, marks, shape)
    assert is_simple(made.cut)
    if shape in {NotchShape.SLIT, NotchShape.VEE}:
        assert len(made.notches) + len(made.ticks) == len(marks)
    for stroke in made.notches:
        assert gaps(stroke.points, net, 0.001).min() >= 3.0 - _ROUNDING
        # A vee without room is a slit.
        ends = stroke.points[[0, -1]] if len(stroke) > 1 else stroke.points[:1]
        assert nearest(plain, ends).distance.max() <= _ROUNDING


_ROUNDING = 1e-4


def test_gaps_to_a_closed_square() -> None:
    square = polyline([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True)
    points = np.array([[5.0, 5.0], [0.0, 5.0], [-3.0, -4.0], [9.0, 4.0]])
    np.testing.assert_allclose(gaps(points, square, 0.01), [5, 0, 5, 1])
