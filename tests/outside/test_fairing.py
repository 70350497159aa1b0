"""The batten against the natural spline's minimum property and a library's optimiser."""

import numpy as np
import pytest
from hypothesis import given, strategies as st
from scipy.interpolate import CubicSpline
from scipy.optimize import lsq_linear

from cutpath.geometry.chain import polyline
from cutpath.geometry.fairing import Batten, lay_batten
from cutpath.geometry.measure import points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats, Points, as_points, left_of, unit
from cutpath.revise.fairing import fair


def trembling(count: int, seed: int, tremor: float = 0.8) -> Points:
    rng = np.random.default_rng(seed)
    x = np.linspace(0, 1000, count)
    y = 120 * np.sin(x / 300) + rng.normal(0, tremor, count)
    return as_points(np.column_stack([x, y]))


def knots(pins: Points) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(pins, axis=0).T))])


def energy_of(spline: CubicSpline, end: float) -> float:
    t = np.linspace(0, end, 100_001)
    return float(np.trapezoid((spline(t, 2) ** 2).sum(axis=1), t))


def test_without_freedom_it_is_the_natural_spline() -> None:
    # Holladay 1957: of all smooth curves through the pins this one bends least.
    pins = trembling(20, 1)
    s = knots(pins)
    batten = lay_batten(pins, 0.0)
    natural = CubicSpline(s, pins, bc_type="natural")
    assert batten.energy == pytest.approx(energy_of(natural, s[-1]), rel=1e-6)
    middles = natural((s[1:] + s[:-1]) / 2)
    assert nearest(batten.chain, as_points(middles)).distance.max() < 1e-9


def test_clamped_ends_are_scipys_clamped_spline() -> None:
    pins = trembling(15, 2)
    s = knots(pins)
    start, end = np.array([0.6, 0.8]), np.array([1.0, 0.0])
    batten = lay_batten(pins, 0.0, start, end)
    clamped = CubicSpline(s, pins, bc_type=((1, start), (1, end)))
    assert batten.energy == pytest.approx(energy_of(clamped, s[-1]), rel=1e-6)
    _, tangents = points_at_stations(batten.chain, np.array([0.0, 1e9]))
    assert tangents == pytest.approx(np.array([start, end]))


@given(st.integers(5, 40), st.integers(0, 10_000), st.floats(0.05, 3))
def test_no_allowed_slides_of_the_pins_bend_less(count: int, seed: int, within: float) -> None:
    # The bounded problem solved by scipy.optimize.lsq_linear on the natural spline's second
    # derivatives, which are linear in the pins: ∫ P″² ds = Σ h/3 (a² + ab + b²).
    pins = trembling(count, seed)
    batten = lay_batten(pins, within)
    s, steps = knots(pins), unit(np.diff(pins, axis=0))
    normals = left_of(unit(np.concatenate([steps[:1], steps[:-1] + steps[1:], steps[-1:]])))
    bends = CubicSpline(s, np.eye(count), bc_type="natural")(s, 2)
    mass = np.zeros((count, count))
    for i, h in enumerate(np.diff(s)):
        mass[i : i + 2, i : i + 2] += h / 6 * np.array([[2, 1], [1, 2]])
    root = np.linalg.cholesky(mass + 1e-15 * np.eye(count)).T @ bends
    inner = slice(1, count - 1)
    a = np.concatenate([root @ np.diag(normals[:, k]) for k in (0, 1)])[:, inner]
    b = -np.concatenate([root @ pins[:, k] for k in (0, 1)])
    judge = lsq_linear(a, b, (-within, within), tol=1e-14, max_iter=2000)
    assert batten.energy <= 2 * judge.cost * (1 + 1e-5) + 1e-12
    assert np.abs(batten.moved).max() <= within + 1e-12
    assert_ends_stay(batten, pins)


def assert_ends_stay(batten: Batten, pins: Points) -> None:
    assert np.array_equal(batten.chain.first, pins[0])
    assert np.array_equal(batten.chain.last, pins[-1])


def test_pins_on_one_spot_are_refused() -> None:
    with pytest.raises(ValueError, match="three pins"):
        lay_batten(as_points([(0, 0), (0, 0), (1, 0)]), 1.0)


@pytest.mark.parametrize(("seed", "within"), [(1, 0.4), (2, 1.0), (3, 2.5), (4, 0.1)])
def test_a_batten_laid_on_some_pins_bends_no_more_than_one_on_all(seed: int, within: float) -> None:
    # The whole problem, every digitised point a pin, is the judge: points with room to spare don't
    # bend a batten, so leaving them out must not change what is least.
    pins = trembling(90, seed)
    whole = lay_batten(pins, within).energy
    smooth = fair(polyline(pins), within)
    assert nearest(smooth, pins).distance.max() <= within + 1e-6
    gaps = np.hypot(*np.diff(smooth.points, axis=0).T)
    again = lay_batten(smooth.points, 0.0).energy
    assert (gaps > 0).all()
    assert again <= whole * 1.02
