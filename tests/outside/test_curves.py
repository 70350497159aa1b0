"""Lengths of curves against closed forms and a numerical library."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ellipe

from cutpath.geometry.chain import circle, cubic, make_chain, quadratic
from cutpath.geometry.flatten import arc_geometry, piece_counts
from cutpath.geometry.measure import length
from cutpath.geometry.transform import scaling, transformed


def test_the_ellipse_has_the_length_of_the_complete_elliptic_integral() -> None:
    # Perimeter 4 a E(e²), e² = 1 − b²/a² (Legendre; scipy.special.ellipe).
    a, b = 900.0, 350.0
    stretched = transformed(circle((0, 0), 1), scaling(a, b))
    assert length(stretched) == pytest.approx(4 * a * ellipe(1 - (b / a) ** 2), rel=1e-8)


def test_a_parabola_has_its_closed_form_length() -> None:
    # y = x² from 0 to t: t √(1 + 4t²) / 2 + asinh(2t) / 4.
    t = 3.0
    curve = quadratic((0, 0), (t / 2, 0), (t, t * t))
    assert length(curve) == pytest.approx(t * math.hypot(1, 2 * t) / 2 + math.asinh(2 * t) / 4)


def test_a_cubic_has_the_length_that_scipy_integrates() -> None:
    p = np.array([(0, 0), (120, 400), (-80, 300), (500, -20)], dtype=float)
    a, b, c = p[1] - p[0], p[2] - p[1], p[3] - p[2]

    def speed(t: float) -> float:
        return float(np.hypot(*(3 * ((1 - t) ** 2 * a + 2 * (1 - t) * t * b + t * t * c))))

    expected = quad(speed, 0, 1, epsabs=1e-11, limit=200)[0]
    assert length(cubic(*p)) == pytest.approx(expected, rel=1e-10)


@pytest.mark.parametrize(
    ("degrees", "bulge"), [(45, 0.198912), (90, 0.414214), (180, 1), (270, 2.414214)]
)
def test_a_bulge_is_the_tangent_of_a_quarter_of_the_angle(degrees: float, bulge: float) -> None:
    # DXF reference, LWPOLYLINE group 42: bulge = tan(included angle / 4).
    assert math.tan(math.radians(degrees) / 4) == pytest.approx(bulge, abs=1e-6)
    _, radius, _, sweep = arc_geometry(make_chain([(0, 0), (10, 0)], [bulge]))
    assert math.degrees(sweep[0]) == pytest.approx(degrees, abs=1e-3)
    assert radius[0] == pytest.approx(5 / math.sin(math.radians(degrees) / 2), rel=1e-5)


def test_a_positive_bulge_bows_to_the_right_of_travel() -> None:
    # (0,0) to (10,0), bulge 1: centre (5,0), through (5,−5) (DXF reference's sign rule).
    center, radius, _, _ = arc_geometry(make_chain([(0, 0), (10, 0)], [1.0]))
    assert center[0] == pytest.approx([5, 0])
    assert radius[0] == pytest.approx(5)
    half = make_chain([(0, 0), (10, 0)], [0.5])
    assert length(half) == pytest.approx(11.5912, abs=1e-4)


@pytest.mark.parametrize(
    ("radius", "sagitta", "count"), [(10, 0.05, 32), (100, 0.1, 71), (25, 0.01, 112)]
)
def test_chords_are_counted_by_the_sagitta(radius: float, sagitta: float, count: int) -> None:
    # n = ceil(2π / (2 acos(1 − s/r))), circle geometry; here for two half circles.
    pieces = int(piece_counts(circle((0, 0), radius), sagitta).sum())
    assert count <= pieces <= count + 1
