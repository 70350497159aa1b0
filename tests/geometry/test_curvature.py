"""Curvature against closed forms."""

import math

import numpy as np
import pytest

from cutpath.geometry.chain import arc, joined, line, polyline, quadratic, reversed_chain
from cutpath.geometry.curvature import curvatures_at, inflections, smallest_radius
from cutpath.geometry.measure import length


def test_an_arc_bends_by_one_over_its_radius() -> None:
    bow = arc((3, 4), 250.0, 0.3, -1.2)
    assert curvatures_at(bow, np.array([0.0, 100.0, 299.0])) == pytest.approx([-1 / 250] * 3)
    assert smallest_radius(bow) == pytest.approx(250.0)


def test_a_parabola_bends_as_its_formula_says() -> None:
    # y = x²: κ = 2 / (1 + 4x²)^(3/2); as a quadratic Bézier from (−1, 1) over (0, −1) to (1, 1).
    bow = quadratic((-1, 1), (0, -1), (1, 1))
    x = np.linspace(-1, 1, 9)
    # Arc length from the vertex, closed form.
    run = x / 2 * np.sqrt(1 + 4 * x**2) + np.arcsinh(2 * x) / 4
    expected = 2 / (1 + 4 * x**2) ** 1.5
    assert curvatures_at(bow, run - run[0]) == pytest.approx(expected, rel=1e-5)
    assert smallest_radius(bow) == pytest.approx(0.5)


def test_turning_round_turns_the_sign() -> None:
    bow = arc((0, 0), 100.0, 0.0, 1.0)
    assert curvatures_at(reversed_chain(bow), np.array([10.0])) == pytest.approx([-0.01])


def test_inflections_are_changes_of_side() -> None:
    left = arc((0, 100), 100, -math.pi / 2, 1.0)
    heading = np.array([math.cos(1.0), math.sin(1.0)])
    aside = np.array([heading[1], -heading[0]])
    right = arc(left.last + 100 * aside, 100, 1.0 + math.pi / 2, -0.7)
    assert inflections(left) == 0
    assert inflections(joined([left, right])) == 1
    assert inflections(polyline([(0, 0), (1, 1), (2, 0), (3, 1), (4, 0)])) == 2
    assert inflections(line((0, 0), (5, 5))) == 0
    barely = polyline([(0, 0), (1000, 0), (2000, 0.1), (3000, 0)])
    assert inflections(barely) == 0


def test_a_straight_run_has_no_radius() -> None:
    assert smallest_radius(polyline([(0, 0), (5, 5), (9, 9)])) == math.inf
    assert length(line((0, 0), (3, 4))) == 5.0
