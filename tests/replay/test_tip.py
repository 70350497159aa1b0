import math

import numpy as np
import pytest

from cutpath.geometry.chain import arc, joined, line, polyline
from cutpath.moves import Reading, Stroke
from cutpath.replay.tip import Blade, tip_reading

D = 0.5


def test_the_tractrix_from_90_to_1_degree() -> None:
    # tan(ψ/2) = tan(ψ₀/2) exp(−s/d): 4.74135 offsets (MathWorld, "Tractrix"; from memory).
    blade = Blade(D, math.pi / 2)
    blade.follow(line([0, 0], [4.74135 * D, 0]))
    assert math.degrees(blade.heading) == pytest.approx(1.0, abs=1e-4)


def test_the_tractrix_point_by_point() -> None:
    # The curve's own equation: x = d (t − tanh t), y = d / cosh t, for a pivot at x = d t.
    tip = Blade(D, -math.pi / 2).follow(line([0, 0], [3, 0])).points
    assert tip[0] == pytest.approx([0, D])
    t = np.arccosh(D / tip[1:, 1])
    np.testing.assert_allclose(tip[1:, 0], D * (t - np.tanh(t)), atol=1e-9)


def test_a_blade_that_trails_cuts_the_line_itself() -> None:
    tip = Blade(D).follow(line([D, 0], [100 + D, 0])).points
    np.testing.assert_allclose(tip, [[0, 0], [100, 0]], atol=1e-12)


def test_the_tip_stands_still_while_the_pivot_swings_about_a_corner() -> None:
    pivot = joined(
        [line([D, 0], [10 + D, 0]), arc([10, 0], D, 0, math.pi / 2), line([10, D], [10, 20 + D])]
    )
    tip = Blade(D).follow(pivot).points
    away = np.minimum(np.abs(tip[:, 1]), np.abs(tip[:, 0] - 10))
    assert away.max() < 2e-4
    np.testing.assert_allclose(tip[-1], [10, 20], atol=2e-4)


def test_a_corner_without_a_swing_is_cut_round() -> None:
    tip = Blade(D).follow(polyline(np.array([[D, 0], [10, 0], [10, 20]]))).points
    # The tip leaves the first side when the pivot turns, d before the corner.
    off = np.abs(tip - [10, 0]).min(axis=1)
    assert off.max() > 0.1


def test_on_a_circle_the_tip_settles_on_a_smaller_one() -> None:
    # R_pivot² = R_tip² + d² (a right angle at the tip).
    blade = Blade(D, math.pi / 2)
    tip = blade.follow(arc([0, 0], 10, 0, 2 * math.pi)).points
    assert np.hypot(*tip[-1]) == pytest.approx(math.sqrt(10**2 - D**2), abs=3e-4)


def test_the_heading_stays_while_the_blade_is_up() -> None:
    strokes = (
        Stroke(1, line([0, 0], [0, 50]), 0),
        Stroke(2, line([0, 0], [1, 0]), 0),
        Stroke(1, line([9, 0], [9, 50]), 0),
    )
    tips = tip_reading(Reading(strokes, (), (1, 2), True, 0), {1: D, 2: 0.0}).strokes
    np.testing.assert_allclose(tips[2].chain.first, [9, -D], atol=1e-9)
    assert tips[1] is strokes[1]
