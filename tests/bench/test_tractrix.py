"""How a dragged blade cuts a corner, against the curve's own equation and a library."""

import math

import pytest
from scipy.integrate import solve_ivp

from cutpath.bench.fit.tractrix import corner_distance

STRAIGHT_ON = (0.0, 0.0)


def _out(degrees: float) -> tuple[float, float]:
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def test_a_right_angle_by_the_equation_of_the_tractrix() -> None:
    # x = −d / cosh t, y = d (t − tanh t) meets the bisector x = −y where t − tanh t = 1 / cosh t.
    t = 1.0
    for _ in range(60):
        t -= (t - math.tanh(t) - 1 / math.cosh(t)) / (
            math.tanh(t) ** 2 + math.tanh(t) / math.cosh(t)
        )
    wanted = math.sqrt(2) / math.cosh(t)
    assert corner_distance(STRAIGHT_ON, _out(90), 1.0) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("degrees", [30, 60, 90, 120, 150])
def test_any_corner_by_integrating_the_pull(degrees: int) -> None:
    # The tip moves along the blade only: dψ/ds = −sin ψ / d, integrated by scipy.
    d, turn = 0.7, math.radians(degrees)

    def across(_: float, state: list[float]) -> float:
        s, psi = state
        heading = turn - psi
        x, y = (
            s * math.cos(turn) - d * math.cos(heading),
            s * math.sin(turn) - d * math.sin(heading),
        )
        return x * math.cos(turn / 2) + y * math.sin(turn / 2)

    across.terminal = True  # type: ignore[attr-defined]
    done = solve_ivp(
        lambda _, state: [1.0, -math.sin(state[1]) / d],
        (0, 40),
        [0.0, turn],
        events=across,
        rtol=1e-11,
        atol=1e-12,
    )
    s, psi = done.y_events[0][0]
    x, y = (
        s * math.cos(turn) - d * math.cos(turn - psi),
        s * math.sin(turn) - d * math.sin(turn - psi),
    )
    found = corner_distance(STRAIGHT_ON, _out(degrees), d)
    assert found == pytest.approx(math.hypot(x, y), abs=1e-8)


def test_it_grows_with_the_offset_alone() -> None:
    one = corner_distance(STRAIGHT_ON, _out(120), 1.0)
    assert one == pytest.approx(1.0795, abs=5e-5)
    assert corner_distance(STRAIGHT_ON, _out(120), 0.3) == pytest.approx(0.3 * one)
    assert corner_distance(STRAIGHT_ON, _out(120), -0.3) == pytest.approx(-0.3 * one)
    assert corner_distance(STRAIGHT_ON, _out(120), 0.0) == 0.0
