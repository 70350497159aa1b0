"""Times of moves against uniform acceleration in closed form and a numeric integration."""

import math

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import arc, circle, joined, line, polyline
from cutpath.kinematics import Kinematics, corner_speeds, leg_times, rest_to_rest


def test_a_long_move_is_a_trapezoid() -> None:
    # Uniform acceleration: D/v + v/a = 1000/500 + 500/2000.
    assert float(rest_to_rest(1000.0, 500, 2000)) == pytest.approx(2.25)


def test_a_short_move_is_a_triangle() -> None:
    # 2 √(D/a); it peaks at √(a D) = 447.21 mm/s.
    assert float(rest_to_rest(100.0, 500, 2000)) == pytest.approx(0.44721, abs=5e-6)
    assert float(rest_to_rest(100.0, 447.3, 2000)) == pytest.approx(0.44721, abs=5e-6)


def test_the_speed_at_a_corner() -> None:
    # Junction deviation (S. Jeon, 2011): δ 0.01 mm, a 500 mm/s².
    turns = np.radians([90.0, 170.0])
    np.testing.assert_allclose(corner_speeds(turns, 500, 0.01), [3.4743, 0.6909], atol=5e-5)


def test_the_deviation_that_gives_a_wanted_corner_speed() -> None:
    # δ = v² (√2 − 1) / a at 90° (the same circle, solved for δ).
    deviation = 5.0**2 * (math.sqrt(2) - 1) / 3000
    assert deviation == pytest.approx(0.00345178, abs=5e-9)
    assert float(corner_speeds(math.pi / 2, 3000, deviation)) == pytest.approx(5.0)


def test_a_reversal_stops_and_a_smooth_joint_does_not() -> None:
    assert float(corner_speeds(math.pi, 2000, 0.05)) == pytest.approx(0, abs=1e-6)
    assert math.isinf(corner_speeds(0.0, 2000, 0.05))
    assert float(corner_speeds(1.0, 2000, 0.0)) == 0


def test_joints_in_one_line_cost_nothing() -> None:
    machine = Kinematics(cut_speed=150, acceleration=900)
    whole = machine.stroke_time(line((0, 0), (700, 0)))
    parts = polyline([(x, 0) for x in (0, 1, 1.5, 300, 699.9, 700)])
    assert machine.stroke_time(parts) == pytest.approx(whole)


def test_a_square_without_deviation_stops_at_each_corner() -> None:
    machine = Kinematics(cut_speed=100, acceleration=1000, corner_deviation=0)
    square = polyline([(0, 0), (50, 0), (50, 50), (0, 50)], closed=True)
    assert machine.stroke_time(square) == pytest.approx(4 * (50 / 100 + 100 / 1000))


def test_an_arc_is_no_faster_than_its_pull_allows() -> None:
    # v = √(a R) = √(1000 · 10) = 100 mm/s all along, apart from the ends: L/v + v/a.
    machine = Kinematics(cut_speed=5000, acceleration=1000)
    full = circle((0, 0), 10)
    assert machine.stroke_time(full) == pytest.approx(2 * math.pi * 10 / 100 + 100 / 1000)


def test_a_fast_line_slows_before_its_arc() -> None:
    machine = Kinematics(cut_speed=500, acceleration=1000)
    way = joined([line((0, 0), (300, 0)), arc((300, 10), 10, -math.pi / 2, math.pi)])
    # Line: from rest to 100 mm/s at its end, peak² = (0 + 100² + 2 a L) / 2; arc at 100, to rest.
    peak = math.sqrt((100**2 + 2 * 1000 * 300) / 2)
    assert peak > 500  # so it cruises at 500
    up, down = 500 / 1000, 400 / 1000
    steady = (300 - 500**2 / 2000 - (500**2 - 100**2) / 2000) / 500
    round_ = (math.pi * 10 - 100**2 / 2000) / 100 + 100 / 1000
    assert machine.stroke_time(way) == pytest.approx(up + down + steady + round_)


legs = st.lists(
    st.tuples(st.floats(0.01, 200), st.floats(5, 400), st.floats(0, 400)), min_size=1, max_size=12
)


@given(legs)
def test_look_ahead_agrees_with_two_passes_by_hand(run: list[tuple[float, float, float]]) -> None:
    lengths, tops, entries = (np.array(column) for column in zip(*run, strict=True))
    a = 750.0
    speeds = [0.0]
    for i in range(1, len(run)):
        allowed = min(entries[i], tops[i], tops[i - 1])
        speeds.append(min(allowed, math.sqrt(speeds[-1] ** 2 + 2 * a * lengths[i - 1])))
    speeds.append(0.0)
    for i in reversed(range(len(run))):
        speeds[i] = min(speeds[i], math.sqrt(speeds[i + 1] ** 2 + 2 * a * lengths[i]))
    wanted = []
    for i, size in enumerate(lengths):
        first, last = speeds[i], speeds[i + 1]
        peak = min(tops[i], math.sqrt((first**2 + last**2 + 2 * a * size) / 2))
        ramp = (2 * peak**2 - first**2 - last**2) / (2 * a)
        wanted.append((2 * peak - first - last) / a + max(size - ramp, 0) / peak)
    np.testing.assert_allclose(leg_times(lengths, tops, entries, a), wanted, rtol=1e-6, atol=1e-6)


def test_many_strokes_at_once_are_as_one_by_one() -> None:
    machine = Kinematics()
    chains = [line((0, 0), (5, 0)), circle((0, 0), 20), polyline([(0, 0), (9, 0), (9, 9)])]
    one_by_one = [machine.stroke_time(chain) for chain in chains]
    np.testing.assert_allclose(machine.stroke_times(chains), one_by_one, rtol=1e-9)
