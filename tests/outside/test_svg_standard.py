"""SVG and CSS by their published standards, and by a library that reads SVG in its own way.

SVG 1.1 (Second Edition), SVG 2 (Candidate Recommendation) and CSS Values and Units Level 3, W3C.
"""

from __future__ import annotations

import math
import warnings
from pathlib import Path

import numpy as np
import pytest

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.measure import bounds, length
from cutpath.geometry.transform import identity
from cutpath.intake.svg import read_svg
from cutpath.intake.svg.lengths import Ruler, parse_css_length
from cutpath.intake.svg.path_data import parse_path_data
from cutpath.intake.svg.placing import placed
from cutpath.intake.svg.transforms import parse_transform
from cutpath.intake.svg.viewport import ViewBox, fit
from cutpath.model import Drawing

RULER = Ruler(96.0, None, None)


def one(text: str) -> Chain:
    (outline,) = parse_path_data(text).outlines
    return placed(outline, identity())


def drawn(folder: Path, text: str) -> Drawing:
    path = folder / "drawing.svg"
    path.write_text(text, encoding="utf-8")
    return read_svg(path)[0]


def test_a_page_of_210_by_297_mm_has_units_of_a_millimetre(tmp_path: Path) -> None:
    """SVG 1.1, 7.7: the viewBox is laid onto width and height."""
    drawing = drawn(
        tmp_path,
        '<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="297mm" '
        'viewBox="0 0 210 297"><path d="M0 297H1"/></svg>',
    )
    np.testing.assert_allclose(drawing.curves[0].chain.points, [[0, 0], [1, 0]], atol=1e-12)
    assert drawing.unit == "mm"


def test_meet_keeps_the_shape_and_centres() -> None:
    """SVG 1.1, 7.8: xMidYMid meet is the default."""
    matrix = fit(ViewBox(0, 0, 100, 100), None, 200, 100)
    assert matrix.tolist() == [[1, 0, 50], [0, 1, 0]]


def test_arc_flags_are_single_digits_and_radii_grow_to_reach() -> None:
    """SVG 1.1, 8.3.9 (grammar) and F.6.6 (radii): flags 0 and 1, then the point (10, 10)."""
    arc = one("M0 0a1 1 0 0110 10")
    np.testing.assert_allclose(arc.last, [10, 10])
    assert arc_geometry(arc)[1][0] == pytest.approx(10 / math.sqrt(2))  # 7.0711


def test_the_centre_of_an_arc() -> None:
    """SVG 1.1, F.6.5: the centre is (0, 10), the arc a quarter turn."""
    centre, radius, _, sweep = arc_geometry(one("M0 0A10 10 0 0 1 10 10"))
    np.testing.assert_allclose(centre, [[0, 10]], atol=1e-12)
    assert radius[0] == pytest.approx(10)
    assert sweep[0] == pytest.approx(math.pi / 2)


def test_radii_too_small_become_a_half_circle() -> None:
    """SVG 1.1, F.6.6, step 3."""
    arc = one("M0 0A1 1 0 0 1 10 0")
    assert arc_geometry(arc)[1][0] == pytest.approx(5)
    assert length(arc) == pytest.approx(5 * math.pi)


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("M0 0L5 5A9 9 0 0 1 5 5L9 0", "M0 0L5 5L9 0"),  # equal end points: left out
        ("M0 0A0 9 0 0 1 5 5", "M0 0L5 5"),  # a radius of 0: a line
        ("M0 0A-9 -7 30 0 1 5 5", "M0 0A9 7 30 0 1 5 5"),  # negative radii: their sizes
        ("M0 0A9 7 390 0 1 5 5", "M0 0A9 7 30 0 1 5 5"),  # the angle counts modulo 360°
    ],
)
def test_arcs_out_of_range(text: str, same: str) -> None:
    """SVG 1.1, F.6.2 and F.6.6; SVG 2, 9.5.1."""
    ours, theirs = one(text), one(same)
    np.testing.assert_allclose(ours.points, theirs.points, atol=1e-9)
    np.testing.assert_allclose(ours.handles, theirs.handles, atol=1e-9)


def test_a_path_is_drawn_up_to_its_mistake() -> None:
    """SVG 2, 9.5.4: the example "M 10,10 L 20,20,30"."""
    result = parse_path_data("M 10,10 L 20,20,30")
    assert [outline.points for outline in result.outlines] == [[(10.0, 10.0), (20.0, 20.0)]]
    assert result.fault


def test_greedy_numbers() -> None:
    """SVG 1.1, 8.3.9: "M 100-200" has two numbers, "M 0.6.5" is 0.6 and .5."""
    assert one("M 100-200 0 0").first.tolist() == [100, -200]
    assert one("M 0.6.5 0 0").first.tolist() == [0.6, 0.5]


def test_transforms_apply_from_the_right() -> None:
    """SVG 1.1, 7.6: translate(10,20) scale(2) takes (3, 4) to (16, 28)."""
    matrix = parse_transform("translate(10,20) scale(2)", RULER)
    assert (matrix @ [3, 4, 1]).tolist() == [16, 28]


@pytest.mark.parametrize(
    ("text", "px"),
    [
        ("1in", 96),
        ("2.54cm", 96),
        ("25.4mm", 96),
        ("101.6Q", 96),
        ("72pt", 96),
        ("6pc", 96),
        ("96px", 96),
        ("96", 96),
        ("100mm", 377.9527559055118),
    ],
)
def test_absolute_lengths(text: str, px: float) -> None:
    """CSS Values and Units Level 3, 6.2."""
    assert parse_css_length(text, RULER) == pytest.approx(px, rel=1e-14)


def test_a_skewed_circle_has_the_length_of_its_ellipse(tmp_path: Path) -> None:
    """4 a E(1 − b²/a²), a and b the singular values of the matrix times the radius (DLMF 19.9.9).

    svgelements is no judge of this: it gives 42.336 here, as its arcs do not skew.
    """
    special = pytest.importorskip("scipy.special")
    transform = "skewX(20) skewY(-5)"
    drawing = drawn(
        tmp_path,
        f'<svg xmlns="http://www.w3.org/2000/svg"><circle r="25" transform="{transform}"/></svg>',
    )
    a, b = np.linalg.svd(parse_transform(transform, RULER)[:, :2])[1] * 25 * 25.4 / 96
    expected = 4 * a * special.ellipe(1 - (b / a) ** 2)
    assert length(drawing.curves[0].chain) == pytest.approx(expected, abs=1e-4)


JUDGED = [
    '<path d="M10 80C40 10 65 10 95 80S150 150 180 80q20-40 40 0t40 0"/>',
    '<path d="M10 10h80v20a10 20 30 1 0 30 40a5 9 0 0 1-20 3l-8-8z" transform="rotate(20 5 5)"/>',
    '<g transform="translate(5 6) scale(2 1.5)"><rect x="3" y="4" width="50" height="30" rx="9"/>'
    '<circle cx="50" cy="60" r="20"/></g>',
    '<ellipse cx="70" cy="50" rx="30" ry="12" transform="rotate(33) scale(1.5)"/>',
    '<g transform="matrix(1 .2 -.3 1.1 4 5) skewX(20) skewY(-5)">'
    '<polygon points="1,2 30,4 20,40"/><line x1="1" y1="2" x2="3" y2="90"/></g>',
    '<svg x="10" y="20" width="80" height="60" viewBox="0 0 10 10"><path d="M1 1 9 2 5 9"/></svg>',
    '<path d="m90 10a25 25 0 1 1 .001 0z" transform="rotate(10)"/>',
]


@pytest.mark.parametrize("inside", JUDGED)
def test_a_library_of_its_own_making_agrees(tmp_path: Path, inside: str) -> None:
    """svgelements, at 96 px to the inch; lengths by its own integration."""
    svgelements = pytest.importorskip("svgelements")
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="300" height="200" viewBox="0 0 300 200">'
        f"{inside}</svg>"
    )
    drawing = drawn(tmp_path, text)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        parsed = svgelements.SVG.parse(tmp_path / "drawing.svg", ppi=96)
        paths = [
            abs(svgelements.Path(shape))
            for shape in parsed.select(lambda element: isinstance(element, svgelements.Shape))
        ]
        k = 25.4 / 96
        theirs = sum(path.length(error=1e-7) for path in paths) * k
        boxes = np.array([path.bbox() for path in paths])
    assert sum(length(curve.chain) for curve in drawing.curves) == pytest.approx(theirs, rel=1e-5)
    ours = np.array([bounds(curve.chain) for curve in drawing.curves])
    (left, low), (right, high) = ours[:, :2].min(axis=0), ours[:, 2:].max(axis=0)
    expected = (*boxes[:, :2].min(axis=0) * k, *boxes[:, 2:].max(axis=0) * k)
    np.testing.assert_allclose((left, 200 * k - high, right, 200 * k - low), expected, atol=1e-3)
