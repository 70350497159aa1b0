"""Each DXF entity becomes the curve that it draws, exactly where it is exact."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ezdxf.math import BSpline

from cutpath.errors import InputError
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import length, signed_area
from cutpath.geometry.nearest import nearest
from tests.intake.dxf_files import box, drawn, told, write_dxf

VERSIONS = ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018")


@pytest.mark.parametrize("form", ["asc", "bin"])
@pytest.mark.parametrize("version", VERSIONS)
def test_every_version_and_form_reads_alike(tmp_path: Path, version: str, form: str) -> None:
    from cutpath.intake.dxf import read_dxf

    def draw(_: Any, space: Any) -> None:
        space.add_line((0, 0), (300, 400))
        space.add_arc((100, 100), 50, 0, 90)
        space.add_circle((500, 0), 10)
        space.add_polyline2d([(0, 0, 1), (100, 0, 0)], format="xyb", close=True)
        space.add_text("FRONT", height=12).set_placement((40, 50))
        space.add_point((7, 8))

    path = write_dxf(tmp_path / "any.dxf", draw, version, unit=4, form=form)
    drawing, findings = read_dxf(path, "mm")
    assert findings == ()
    assert [length(curve.chain) for curve in drawing.curves] == pytest.approx(
        [500, 25 * math.pi, 20 * math.pi, 50 * math.pi + 100], rel=1e-12
    )
    assert [curve.chain.closed for curve in drawing.curves] == [False, False, True, True]
    assert [(text.words, text.height) for text in drawing.texts] == [("FRONT", 12)]
    np.testing.assert_allclose(drawing.texts[0].xy, (40, 50))
    np.testing.assert_allclose([spot.xy for spot in drawing.spots], [(7, 8)])


def test_curves_keep_the_order_layer_and_handle_of_the_drawing(tmp_path: Path) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_lwpolyline([(0, 0), (9, 0), (9, 9)], dxfattribs={"layer": "CUT"})
        space.add_ellipse((0, 0), (9, 0), 0.5, dxfattribs={"layer": "OVAL"})
        space.add_line((0, 0), (5, 5), dxfattribs={"layer": "PEN", "handle": "ABC"})

    sources = [curve.source for curve in drawn(tmp_path, draw).curves]
    assert [source.layer for source in sources] == ["CUT", "OVAL", "PEN"]
    assert [source.entity.split()[0] for source in sources] == ["LWPOLYLINE", "ELLIPSE", "LINE"]
    assert sources[2].entity == "LINE ABC"
    assert {source.file for source in sources} == {"drawing.dxf"}


@pytest.mark.parametrize(
    ("start", "end", "sweep"), [(0, 90, 90), (350, 10, 20), (90, 0, 270), (-30, 30, 60)]
)
def test_arcs_run_counter_clockwise_from_start_to_end(
    tmp_path: Path, start: float, end: float, sweep: float
) -> None:
    (curve,) = drawn(tmp_path, lambda _, space: space.add_arc((10, 20), 100, start, end)).curves
    assert length(curve.chain) == pytest.approx(math.radians(sweep) * 100, rel=1e-12)
    for point, angle in ((curve.chain.first, start), (curve.chain.last, end)):
        spoke = (math.cos(math.radians(angle)), math.sin(math.radians(angle)))
        np.testing.assert_allclose(point, np.array([10, 20]) + 100 * np.array(spoke), atol=1e-9)


def test_an_arc_all_the_way_round_is_a_circle(tmp_path: Path) -> None:
    (curve,) = drawn(tmp_path, lambda _, space: space.add_arc((10, 20), 100, 30, 390)).curves
    assert curve.chain.closed
    assert signed_area(curve.chain) == pytest.approx(math.pi * 1e4, rel=1e-12)


@pytest.mark.parametrize("sweep", [30, 180, 270, 330, 359])
@pytest.mark.parametrize("old", [False, True])
def test_bulges_of_any_sweep_are_exact_arcs(tmp_path: Path, sweep: float, old: bool) -> None:
    bulge = math.tan(math.radians(sweep) / 4)
    vertices = [(0, 0, bulge), (100, 0, -bulge), (100, 100, 0)]

    def draw(_: Any, space: Any) -> None:
        add = space.add_polyline2d if old else space.add_lwpolyline
        add(vertices, format="xyb")

    (curve,) = drawn(tmp_path, draw).curves
    radius = 50 / math.sin(math.radians(sweep) / 2)
    assert length(curve.chain) == pytest.approx(2 * radius * math.radians(sweep), rel=1e-9)
    assert np.abs(curve.chain.bulges).max() <= 1 + 1e-12
    np.testing.assert_allclose(curve.chain.last, (100, 100), atol=1e-12)
    # The sagitta of an arc is bulge × half the chord, to the right for a + bulge.
    assert box(curve)[1] == pytest.approx(-max(bulge * 50, radius if sweep > 180 else 0), rel=0.5)
    far = nearest(curve.chain, np.array([[50.0, -bulge * 50]])).distance
    assert far[0] == pytest.approx(0, abs=1e-9 * radius)


def test_a_polyline_drawn_back_to_its_start_is_closed(tmp_path: Path) -> None:
    corners = [(0, 0), (100, 0), (100, 50), (0, 0)]
    (curve,) = drawn(tmp_path, lambda _, space: space.add_lwpolyline(corners)).curves
    assert curve.chain.closed
    assert len(curve.chain) == 3
    there_and_back = [(0, 0), (100, 0), (0, 0)]
    (curve,) = drawn(tmp_path, lambda _, space: space.add_lwpolyline(there_and_back)).curves
    assert not curve.chain.closed


def test_the_control_frame_of_a_spline_fit_polyline_is_not_read(tmp_path: Path) -> None:
    def draw(_: Any, space: Any) -> None:
        polyline = space.add_polyline2d([(0, 0), (50, 80), (100, 0), (50, 20)])
        polyline.vertices[1].dxf.flags = 16

    (curve,) = drawn(tmp_path, draw).curves
    np.testing.assert_allclose(curve.chain.points, [(0, 0), (100, 0), (50, 20)])


def test_a_mesh_is_no_outline(tmp_path: Path) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_polymesh((3, 3))
        space.add_line((0, 0), (9, 9))

    assert len(drawn(tmp_path, draw).curves) == 1


@pytest.mark.parametrize("unit", [4, 1, 6])  # mm, inches, metres: the tolerance is in mm
def test_ellipses_stay_within_a_hundred_thousandth_of_a_mm(tmp_path: Path, unit: int) -> None:
    per_unit = {4: 1.0, 1: 25.4, 6: 1000.0}[unit]
    major, ratio = 500 / per_unit, 0.4
    (curve,) = drawn(
        tmp_path, lambda _, space: space.add_ellipse((0, 0), (major, 0), ratio), unit=unit
    ).curves
    assert curve.chain.closed
    x, y = flatten(curve.chain, 1e-4).points.T / 500
    level = np.hypot(x, y / ratio)  # 1 on the ellipse; its slope is 1 / mm at least
    joints = curve.chain.points / 500
    np.testing.assert_allclose(np.hypot(joints[:, 0], joints[:, 1] / ratio), 1, atol=1e-12)
    assert np.abs(level - 1).max() * 500 <= 1e-5 / ratio + 2e-4
    angles = np.linspace(0, 2 * math.pi, 401)
    on = 500 * np.column_stack([np.cos(angles), ratio * np.sin(angles)])
    assert nearest(curve.chain, on).distance.max() <= 1.05e-5


def test_a_round_ellipse_is_an_exact_arc(tmp_path: Path) -> None:
    (curve,) = drawn(
        tmp_path, lambda _, space: space.add_ellipse((3, 4), (0, 5), 1.0, 0, math.pi / 2)
    ).curves
    assert curve.chain.is_arc.all()
    np.testing.assert_allclose(curve.chain.first, (3, 9), atol=1e-9)
    np.testing.assert_allclose(curve.chain.last, (-2, 4), atol=1e-9)


CONTROL = [(0, 0), (40, 90), (110, -60), (160, 70), (240, 10), (300, 0)]


@pytest.mark.parametrize("degree", [1, 2, 3, 5])
@pytest.mark.parametrize("weights", [None, [1, 2, 0.5, 3, 1, 1]])
@pytest.mark.parametrize("unit", [4, 6])
def test_splines_are_followed(
    tmp_path: Path, degree: int, weights: list[float] | None, unit: int
) -> None:
    def draw(_: Any, space: Any) -> None:
        if weights is None:
            space.add_open_spline(CONTROL, degree=degree)
        else:
            space.add_rational_spline(CONTROL, weights, degree=degree)

    per_unit = {4: 1.0, 6: 1000.0}[unit]
    (curve,) = drawn(tmp_path, draw, unit=unit).curves
    true = BSpline(CONTROL, order=degree + 1, weights=weights)
    points = [(p.x, p.y) for p in true.points(np.linspace(0, true.max_t, 97))]
    away = nearest(curve.chain, np.array(points) * per_unit).distance
    assert away.max() <= (2e-5 if weights or degree > 3 else 1e-6 * per_unit)
    if weights is None and degree <= 3:
        assert len(curve.chain) == len(CONTROL) - degree  # exact: a cubic for each span


def test_a_corner_within_a_rational_spline_is_kept(tmp_path: Path) -> None:
    """A knot as often as the degree lets the curve turn sharply there."""

    def draw(_: Any, space: Any) -> None:
        spline = space.add_spline(degree=2)
        spline.control_points = [(0, 0), (50, 50), (100, 0), (150, 80), (200, 0)]
        spline.knots = [0, 0, 0, 1, 1, 2, 2, 2]
        spline.weights = [1, 2, 1, 2, 1]

    (curve,) = drawn(tmp_path, draw).curves
    assert nearest(curve.chain, np.array([[100.0, 0.0]])).distance[0] < 1e-9
    assert len(curve.chain) < 200


def test_splines_through_fit_points_pass_them(tmp_path: Path) -> None:
    points = [(0, 0), (60, 40), (130, 10), (200, 50)]
    (curve,) = drawn(tmp_path, lambda _, space: space.add_spline(points)).curves
    assert nearest(curve.chain, np.array(points, dtype=float)).distance.max() < 1e-6
    np.testing.assert_allclose(curve.chain.first, points[0], atol=1e-9)
    np.testing.assert_allclose(curve.chain.last, points[-1], atol=1e-9)


@pytest.mark.parametrize("repeated", [False, True])
def test_closed_splines_through_fit_points_are_smooth_all_round(
    tmp_path: Path, repeated: bool
) -> None:
    angles = np.arange(12) * math.tau / 12
    points = [tuple(p) for p in 100 * np.column_stack([np.cos(angles), np.sin(angles)])]

    def draw(_: Any, space: Any) -> None:
        spline = space.add_spline(points + points[:1] * repeated)
        spline.dxf.flags |= 1

    (curve,) = drawn(tmp_path, draw).curves
    assert curve.chain.closed
    assert signed_area(curve.chain) == pytest.approx(math.pi * 1e4, rel=1e-3)
    # Points evenly round a circle give an evenly round curve, its seam no different.
    assert np.ptp(np.hypot(*flatten(curve.chain, 0.001).points.T)) < 0.05


def test_texts_of_each_kind_have_words_and_place(tmp_path: Path) -> None:
    from ezdxf.enums import TextEntityAlignment

    def draw(document: Any, space: Any) -> None:
        middle = TextEntityAlignment.MIDDLE_CENTER
        space.add_text("MIDDLE", height=5).set_placement((30, 40), align=middle)
        space.add_mtext(r"{\fArial;FRONT}\Ppanel", dxfattribs={"char_height": 8, "insert": (1, 2)})
        block = document.blocks.new("TAG")
        block.add_line((0, 0), (1, 0))
        block.add_attdef("NAME", (0, 0))
        insert = space.add_blockref("TAG", (100, 0))
        insert.add_attrib("NAME", "AFT", (105, 3))
        insert.add_attrib("SECRET", "not shown", (105, 3)).is_invisible = True

    texts = drawn(tmp_path, draw).texts
    assert [text.words for text in texts] == ["MIDDLE", "FRONT\npanel", "AFT"]
    np.testing.assert_allclose([text.xy for text in texts], [(30, 40), (1, 2), (105, 3)])
    assert [text.height for text in texts][:2] == [5, 8]


def test_what_is_not_read_is_counted_and_said(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        document.layers.add("FROZEN").freeze()
        document.layers.add("OFF").off()
        space.add_line((0, 0), (200, 0))
        space.add_line((0, 0), (1, 0), dxfattribs={"layer": "FROZEN"})
        space.add_line((0, 0), (1, 0), dxfattribs={"layer": "OFF"})
        space.add_line((0, 0), (1, 0), dxfattribs={"layer": "off"})
        space.add_line((0, 0), (1, 0), dxfattribs={"invisible": 1})
        space.add_3dface([(0, 0), (1, 0), (1, 1)])
        space.add_hatch().paths.add_polyline_path([(0, 0), (1, 0), (1, 1)])

    drawing, findings = told(tmp_path, draw)
    assert len(drawing.curves) == 1
    words = [finding.message for finding in findings]
    assert "layer 'FROZEN' is off or frozen: 1 entity not read" in words
    assert "layer 'OFF' is off or frozen: 1 entity not read" in words
    assert "1 entity is marked invisible and not read" in words
    assert "not read: 1 3DFACE" in words  # a hatch bounds nothing, and nothing is said of it
    assert len(words) == 5


def test_a_drawing_with_everything_hidden_says_so(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        document.layers.add("PANELS").off()
        space.add_line((0, 0), (1, 0), dxfattribs={"layer": "PANELS"})

    with pytest.raises(InputError, match="PANELS"):
        drawn(tmp_path, draw)


def test_an_entity_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_line((0, 0), (200, 0))
        space.add_open_spline(CONTROL, dxfattribs={"layer": "CUT"}).knots = [0, 1, 2]

    drawing, (finding,) = told(tmp_path, draw)
    assert len(drawing.curves) == 1
    assert "SPLINE" in finding.message
    assert "CUT" in finding.message
