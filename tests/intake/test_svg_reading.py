"""SVG: how large a drawing is, where its corner lies, and what its shapes are."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.flatten import arc_geometry, flatten
from cutpath.geometry.measure import length
from tests.intake.svg_drawing import Read, boxes


def test_y_runs_up_from_the_pages_lower_edge(read: Read) -> None:
    drawing, findings = read('<rect x="10" y="20" width="30" height="5"/>')
    assert boxes(drawing) == [[10, 75, 40, 80]]
    assert (drawing.unit, findings) == ("mm", ())


@pytest.mark.parametrize(
    ("page", "units", "mm", "unit"),
    [
        ("", None, 25.4 / 96, "px of 1/96 in"),
        ("", "px", 25.4 / 96, "px of 1/96 in"),
        ("", "px72", 25.4 / 72, "px of 1/72 in"),
        ("", "px90", 25.4 / 90, "px of 1/90 in"),
        ("", "mm", 1, "mm"),
        ("", "inch", 25.4, "in"),
        ('viewBox="0 0 300 300"', "cm", 10, "cm"),
        ('width="600" height="600" viewBox="0 0 300 300"', None, 50.8 / 96, "0.529167 mm"),
        ('width="600" height="600" viewBox="0 0 300 300"', "mm", 1, "mm"),
        ('width="600" viewBox="0 0 300 300"', "px72", 50.8 / 72, "0.705556 mm"),
        ('width="100%" height="100%" viewBox="0 0 300 300"', "in", 25.4, "in"),
        ('width="30cm" height="30cm" viewBox="0 0 300 300"', None, 1, "mm"),
        ('width="30cm" height="30cm" viewBox="0 0 300 300"', "in", 1, "mm"),
        ('height="300in" viewBox="0 0 300 300"', None, 25.4, "in"),
        ('width="300mm" height="300mm"', None, 25.4 / 96, "px of 1/96 in"),
        ('style="width: 300mm" viewBox="0 0 300 300"', None, 1, "mm"),
        ('width="300" style="width: 30cm" viewBox="0 0 300 300"', None, 1, "mm"),
        ('width="300mm" style="width: 100%" viewBox="0 0 300 300"', None, 1, "mm"),
    ],
)
def test_what_one_unit_stands_for(
    read: Read, page: str, units: str | None, mm: float, unit: str
) -> None:
    drawing, _ = read('<path d="M0 0H100"/>', page, units)
    assert length(drawing.curves[0].chain) == pytest.approx(100 * mm, rel=1e-12)
    assert drawing.unit == unit


def test_a_size_that_is_not_said_is_told(read: Read) -> None:
    _, (finding,) = read('<path d="M0 0H100"/>', "")
    assert "1/96 in" in finding.message
    assert "--units" in finding.remedy
    _, (finding,) = read('<path d="M0 0H100"/>', units="in")
    assert "says its own size" in finding.message


@pytest.mark.parametrize(
    ("ratio", "box"),
    [
        ("", [50, 0, 150, 100]),
        ('preserveAspectRatio="xMinYMid meet"', [0, 0, 100, 100]),
        ('preserveAspectRatio="xMaxYMin"', [100, 0, 200, 100]),
        ('preserveAspectRatio="none"', [0, 0, 200, 100]),
        ('preserveAspectRatio="xMidYMin slice"', [0, -100, 200, 100]),
        ('preserveAspectRatio="xMidYMid slice"', [0, -50, 200, 150]),
    ],
)
def test_a_view_box_is_fitted(read: Read, ratio: str, box: list[float]) -> None:
    page = f'width="200mm" height="100mm" viewBox="-5 -5 10 10" {ratio}'
    drawing, _ = read('<rect x="-5" y="-5" width="10" height="10"/>', page)
    assert boxes(drawing) == [box]


def test_lengths_with_units_and_percentages_inside(read: Read) -> None:
    drawing, _ = read(
        '<rect x="1in" y="50%" width="25%" height="1cm"/>', 'width="960" height="480"'
    )
    x, y, width, height = 96, 240, 240, 96 / 2.54
    k = 25.4 / 96
    expected = [x * k, (480 - y - height) * k, (x + width) * k, (480 - y) * k]
    np.testing.assert_allclose(boxes(drawing)[0], expected, atol=1e-6)


def test_a_percentage_of_nothing_is_one_clear_error(read: Read) -> None:
    with pytest.raises(InputError, match=r"wall.svg:1.*rect number 1: width: '25%' is a share"):
        read('<rect width="25%" height="1"/>', "")


def test_round_shapes_keep_their_arcs(read: Read) -> None:
    drawing, _ = read(
        '<circle cx="50" cy="50" r="10"/><ellipse cx="50" cy="50" rx="20" ry="10"/>'
        '<rect x="1" y="1" width="40" height="30" rx="5"/><ellipse cx="9" cy="9" rx="3"/>'
    )
    circle, ellipse, rect, round_one = (curve.chain for curve in drawing.curves)
    assert circle.is_arc.all()
    assert length(circle) == pytest.approx(20 * math.pi, rel=1e-14)
    assert ellipse.is_cubic.all()
    assert sum(rect.is_arc) == 4
    assert length(rect) == pytest.approx(2 * (30 + 20) + 10 * math.pi, rel=1e-14)
    assert length(round_one) == pytest.approx(6 * math.pi, rel=1e-14)
    assert all(curve.chain.closed for curve in drawing.curves)


def test_an_ellipse_that_comes_out_round_is_an_arc(read: Read) -> None:
    drawing, _ = read('<ellipse rx="20" ry="10" transform="rotate(30) scale(1 2)"/>')
    (chain,) = (curve.chain for curve in drawing.curves)
    assert chain.is_arc.all()
    np.testing.assert_allclose(arc_geometry(chain)[1], 20)


@pytest.mark.parametrize(
    ("inside", "a", "b"),
    [
        ('<ellipse cx="100" cy="50" rx="90" ry="20"/>', 90, 20),
        ('<circle cx="10" cy="50" r="9" transform="scale(10 1)"/>', 90, 9),
        ('<path d="M40 50A60 40 0 1 1 160 50A60 40 0 0 1 40 50Z"/>', 60, 40),
    ],
)
def test_ellipses_are_off_by_less_than_a_hundred_thousandth(
    read: Read, inside: str, a: float, b: float
) -> None:
    drawing, _ = read(inside)
    points = flatten(drawing.curves[0].chain, 1e-7).points - [100, 50]
    level = np.hypot(points[:, 0] / a, points[:, 1] / b) - 1
    slope = np.hypot(points[:, 0] / a**2, points[:, 1] / b**2)
    assert np.abs(level / slope).max() < 1.1e-5  # the distance, to the first order


def test_rectangles_corners_are_limited_to_half_a_side(read: Read) -> None:
    drawing, _ = read('<rect width="40" height="30" rx="99" ry="15"/>')
    (chain,) = (curve.chain for curve in drawing.curves)
    assert boxes(drawing) == [[0, 70, 40, 100]]
    assert chain.is_cubic.all()  # nothing straight is left


def test_an_ellipse_too_flat_to_be_seen_is_a_line(read: Read) -> None:
    flat = '<ellipse rx="4" ry="31e-310" transform="translate(50 50) rotate(3,4 5) skewX(.3)"/>'
    drawing, _ = read(flat)
    (chain,) = (curve.chain for curve in drawing.curves)
    assert not chain.is_cubic.any()
    assert length(chain) == pytest.approx(16)


def test_a_share_of_neither_side_is_of_the_diagonal(read: Read) -> None:
    """SVG 2, 8.9: the diagonal over √2."""
    drawing, _ = read('<circle r="10%"/>')
    radius = math.hypot(200, 100) / math.sqrt(2) / 10
    assert length(drawing.curves[0].chain) == pytest.approx(2 * math.pi * radius, rel=1e-12)


def test_lines_and_polygons(read: Read) -> None:
    drawing, _ = read(
        '<line x1="0" y1="100" x2="3" y2="96"/><polyline points="0,0 10,0 10,10"/>'
        '<polygon points="0,0 10,0 10,10"/>'
    )
    line, polyline, polygon = (curve.chain for curve in drawing.curves)
    assert length(line) == pytest.approx(5)
    assert not line.closed
    assert (length(polyline), polyline.closed) == (20, False)
    assert length(polygon) == pytest.approx(20 + math.hypot(10, 10))
    assert polygon.closed


def test_shapes_of_no_size_draw_nothing_and_negative_ones_are_told(read: Read) -> None:
    drawing, findings = read(
        '<rect width="0" height="5"/><circle r="0"/><ellipse rx="0" ry="4"/>'
        '<rect width="-1" height="5"/><circle r="-2"/>'
    )
    assert drawing.curves == ()
    assert [finding.source.entity for finding in findings] == ["rect number 2", "circle number 2"]
