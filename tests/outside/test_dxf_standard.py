"""DXF read as its published rules say.

Sources: the DXF reference as the ezdxf documentation gives it (bulge, arbitrary axis rule, ellipse
parameters, $INSUNITS codes); lengths of arcs by closed form.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ezdxf import units as foreign

from cutpath.geometry.measure import bounds, length
from cutpath.geometry.nearest import nearest
from cutpath.model import Curve
from tests.intake.dxf_files import drawn


def polyline(path: Path, end: tuple[float, float], bulge: float) -> Curve:
    corners = [(0, 0, bulge), (*end, 0)]
    return drawn(path, lambda _, space: space.add_lwpolyline(corners, format="xyb")).curves[0]


@pytest.mark.parametrize(
    ("bulge", "degrees"), [(0.198912, 45), (0.414214, 90), (1, 180), (2.414214, 270)]
)
def test_bulge_is_the_tangent_of_a_quarter_of_the_angle(
    tmp_path: Path, bulge: float, degrees: float
) -> None:
    """DXF reference, LWPOLYLINE group 42."""
    sweep = math.radians(degrees)
    expected = sweep * 50 / math.sin(sweep / 2)
    curve = polyline(tmp_path, (100, 0), bulge)
    assert length(curve.chain) == pytest.approx(expected, rel=2e-6)


def test_a_positive_bulge_runs_counter_clockwise(tmp_path: Path) -> None:
    """DXF reference: (0, 0) to (10, 0) with bulge 1 is about (5, 0) and passes (5, −5)."""
    curve = polyline(tmp_path, (10, 0), 1)
    assert nearest(curve.chain, np.array([[5.0, -5.0]])).distance[0] < 1e-12
    np.testing.assert_allclose(bounds(curve.chain), (0, -5, 10, 0), atol=1e-12)


def test_chord_10_with_bulge_a_half(tmp_path: Path) -> None:
    """Closed form: sagitta 2.5, radius 6.25, 106.260°, length 11.5912."""
    curve = polyline(tmp_path, (10, 0), 0.5)
    assert length(curve.chain) == pytest.approx(11.5912, abs=5e-5)
    assert bounds(curve.chain)[1] == pytest.approx(-2.5)


def test_the_arbitrary_axis_rule_mirrors_what_is_seen_from_below(tmp_path: Path) -> None:
    """DXF reference: with extrusion (0, 0, −1), (3, 4) in object coordinates is at (−3, 4)."""

    def draw(_: Any, space: Any) -> None:
        space.add_circle((3, 4), 1, dxfattribs={"extrusion": (0, 0, -1)})
        space.add_arc((0, 0), 10, 0, 90, dxfattribs={"extrusion": (0, 0, -1)})

    circle, arc = drawn(tmp_path, draw).curves
    np.testing.assert_allclose(bounds(circle.chain), (-4, 3, -2, 5), atol=1e-12)
    np.testing.assert_allclose(bounds(arc.chain), (-10, 0, 0, 10), atol=1e-12)


def test_ellipse_parameters_are_no_angles(tmp_path: Path) -> None:
    """DXF reference, ELLIPSE: at u = π/4 with axes 10 and 5 lies (7.0711, 3.5355), at 26.565°."""
    (curve,) = drawn(
        tmp_path, lambda _, space: space.add_ellipse((0, 0), (10, 0), 0.5, 0, math.pi / 4)
    ).curves
    np.testing.assert_allclose(curve.chain.last, (7.0711, 3.5355), atol=5e-5)
    angle = math.degrees(math.atan2(curve.chain.last[1], curve.chain.last[0]))
    assert angle == pytest.approx(26.565, abs=5e-4)


@pytest.mark.parametrize("code", [1, 2, 3, 4, 5, 6, 7, 10, 14, 15, 16])
def test_unit_codes_are_those_of_the_reference(tmp_path: Path, code: int) -> None:
    """$INSUNITS, DXF reference; ezdxf's own table is the judge (a cm in m is 0.01)."""
    factor = foreign.conversion_factor(foreign.InsertUnits(code), foreign.InsertUnits.Millimeters)
    (curve,) = drawn(tmp_path, lambda _, space: space.add_line((0, 0), (100, 0)), unit=code).curves
    assert length(curve.chain) == pytest.approx(100 * factor, rel=1e-6)
