"""Edges laid fair: what must stay, and how close."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import Chain, polyline
from cutpath.geometry.curvature import inflections
from cutpath.geometry.measure import end_tangents, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.revise.fairing import fair
from cutpath.settings.job_file import Hold


def bow(count: int, seed: int, tremor: float, rise: float = 120.0) -> tuple[Chain, Chain]:
    """Give a half sine wave of 2 m as it is, and as a shaking hand digitised it."""
    rng = np.random.default_rng(seed)
    x = np.linspace(0.0, 2000.0, count)
    true = np.stack([x, rise * np.sin(np.pi * x / 2000.0)], axis=1)
    off = rng.uniform(-tremor, tremor, true.shape)
    off[[0, -1]] = 0.0
    return polyline(true), polyline(true + off)


@settings(deadline=None, max_examples=12)
@given(st.integers(3, 60), st.integers(0, 999), st.floats(0.2, 3.0))
def test_every_digitised_point_stays_within_the_limit(count: int, seed: int, within: float) -> None:
    _, shaky = bow(count, seed, 0.8)
    smooth = fair(shaky, within)
    assert nearest(smooth, shaky.points).distance.max() <= within + 1e-6
    assert smooth.first == pytest.approx(shaky.first)
    assert smooth.last == pytest.approx(shaky.last)


def test_tremor_goes_and_the_form_stays() -> None:
    true, shaky = bow(200, 1, 0.5)
    smooth = fair(shaky, 1.0, Hold.BOTH)
    assert inflections(shaky) > 50
    assert inflections(smooth) <= 1
    at, _ = points_at_stations(true, np.linspace(0, 2000, 50))
    assert nearest(smooth, at).distance.max() < 1.0


def test_more_room_never_bends_more() -> None:
    from cutpath.revise.fairing import _energy_of

    _, shaky = bow(60, 4, 0.8)
    energies = [_energy_of(fair(shaky, within)) for within in (0.25, 0.5, 1.0, 2.0, 4.0)]
    assert all(after <= before * 1.001 for before, after in itertools.pairwise(energies))
    assert energies[0] > 5 * energies[-1]


def test_held_ends_keep_the_direction_in_which_the_run_sets_out() -> None:
    true, shaky = bow(400, 7, 0.3)
    held = fair(shaky, 2.0, Hold.BOTH)
    for mine, real in zip(end_tangents(held), end_tangents(true), strict=True):
        assert np.degrees(np.arccos(min(1.0, float(mine @ real)))) < 1.0
    one = fair(shaky, 2.0, Hold.START)
    assert end_tangents(one)[0] == pytest.approx(end_tangents(held)[0], abs=1e-6)
    assert end_tangents(one)[1] != pytest.approx(end_tangents(held)[1], abs=1e-6)


def test_a_straight_edge_with_tremor_comes_out_nearly_straight() -> None:
    _, shaky = bow(80, 2, 0.4, rise=0.0)
    smooth = fair(shaky, 1.0)
    assert np.abs(smooth.points[:, 1]).max() < 0.7
    assert inflections(smooth) <= 1


def test_a_run_of_thousands_of_points_is_the_batten_of_them_all() -> None:
    _, dense = bow(1200, 3, 0.4)
    smooth = fair(dense, 1.2)
    assert nearest(smooth, dense.points).distance.max() <= 1.2 + 1e-6
    assert inflections(smooth) <= 1


def test_points_left_out_at_first_are_held_too_where_the_limit_is_tight() -> None:
    _, dense = bow(600, 3, 0.4)
    smooth = fair(dense, 0.45)
    assert nearest(smooth, dense.points).distance.max() <= 0.45 + 1e-6


def test_two_points_stay_as_they_are() -> None:
    edge = polyline([(0, 0), (50, 3)])
    assert fair(edge, 1.0) is edge
