"""The fit against closed forms and a library's own fits."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import curve_fit

from cutpath.bench.fit.observing import Observation
from cutpath.bench.fit.solving import solve
from cutpath.bench.fit.unknowns import Kind, Unknown, Values

RNG = np.random.default_rng(12)
X = np.linspace(0, 10, 25)


def _unknown(name: str) -> Unknown:
    return Unknown(name, (name,), Kind.LENGTH, 0.0, -1e3, 1e3, "")


def _seen(model: Callable[[Values], float], mm: float, sigma: float) -> Observation:
    return Observation("", model, (), (), mm, sigma, None)


def _falling(x: float) -> Callable[[Values], float]:
    return lambda v: v["a"] * math.exp(-x / v["b"])


def test_the_mean_of_readings_and_its_uncertainty() -> None:
    # Weighted mean and 1 / √Σ σ⁻² (plain least squares in closed form).
    sigmas = np.array([0.1, 0.1, 0.2, 0.4])
    read = np.array([1.0, 1.1, 0.8, 1.3])
    seen = [_seen(lambda v: v["a"], mm, s) for mm, s in zip(read, sigmas, strict=True)]
    plain = solve(seen, [_unknown("a")], {"a": 0.0}, robust=False)
    weights = sigmas**-2.0
    assert plain.values["a"] == pytest.approx(weights @ read / weights.sum(), abs=1e-9)
    plain_sigma = np.linalg.inv(plain.slopes.T @ plain.slopes)[0, 0] ** 0.5 * Kind.LENGTH.step
    assert plain_sigma == pytest.approx(weights.sum() ** -0.5)


def test_a_curve_as_scipy_fits_it() -> None:
    def curve(x: np.ndarray, a: float, b: float) -> np.ndarray:
        return a * np.exp(-x / b)

    sigmas = RNG.uniform(0.02, 0.1, len(X))
    read = curve(X, 3.0, 4.0) + RNG.normal(0, sigmas)
    seen = [_seen(_falling(float(x)), mm, s) for x, mm, s in zip(X, read, sigmas, strict=True)]
    unknowns = [_unknown("a"), _unknown("b")]
    ours = solve(seen, unknowns, {"a": 2.5, "b": 5.0}, robust=False)
    theirs, spread = curve_fit(curve, X, read, (2.5, 5.0), sigmas, absolute_sigma=True)
    assert [ours.values["a"], ours.values["b"]] == pytest.approx(theirs, abs=1e-5)
    plain = np.linalg.inv(ours.slopes.T @ ours.slopes) * Kind.LENGTH.step**2
    np.testing.assert_allclose(plain, spread, rtol=1e-3)


def test_what_the_robust_loss_costs() -> None:
    # E ψ² / (E ψ')² at the normal distribution, by adaptive quadrature.
    def mean(of: Callable[[float], float]) -> float:
        weight = 1 / math.sqrt(2 * math.pi)
        found, _ = quad(lambda r: of(r) * weight * math.exp(-r * r / 2), -12, 12, epsabs=1e-12)
        return float(found)

    wanted = mean(lambda r: r * r / (1 + r * r / 4)) / mean(lambda r: (1 + r * r / 4) ** -1.5) ** 2
    one = solve([_seen(lambda v: v["a"], 1.0, 0.1)], [_unknown("a")], {"a": 0.0})
    assert one.sigma("a") == pytest.approx(0.1 * math.sqrt(wanted), rel=1e-6)
    assert 1.0 < wanted < 1.1


def test_a_gross_misreading_hardly_pulls() -> None:
    read = [1.0, 1.02, 0.98, 1.01, 60.0]
    seen = [_seen(lambda v: v["a"], mm, 0.02) for mm in read]
    assert solve(seen, [_unknown("a")], {"a": 0.0}).values["a"] == pytest.approx(1.0, abs=0.03)
    plain = solve(seen, [_unknown("a")], {"a": 0.0}, robust=False)
    assert plain.values["a"] == pytest.approx(sum(read) / 5)
