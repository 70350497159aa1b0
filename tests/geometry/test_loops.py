"""Outlines grown, shrunk and rounded, against closed forms."""

import math

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.geometry.chain import circle, make_chain, polyline, started_at
from cutpath.geometry.curvature import smallest_radius
from cutpath.geometry.loops import grown, least_gap, rounded, rounded_rectangle, shrunk
from cutpath.geometry.measure import joint_turns, length, signed_area


@settings(deadline=None, max_examples=40)
@given(st.floats(60, 900), st.floats(60, 900), st.floats(0.5, 29))
def test_a_convex_outline_grows_by_steiners_formula(width: float, height: float, by: float) -> None:
    box = polyline([(0, 0), (width, 0), (width, height), (0, height)], closed=True)
    out = grown(box, by)
    # Steiner: area + perimeter · d + π d²; perimeter + 2 π d.
    around = 2 * (width + height)
    assert signed_area(out) == pytest.approx(width * height + around * by + math.pi * by**2)
    assert length(out) == pytest.approx(around + 2 * math.pi * by)
    back = shrunk(out, by)
    assert back is not None
    assert signed_area(back) == pytest.approx(width * height, rel=1e-5)


@given(st.floats(100, 800), st.floats(100, 800), st.floats(1, 50))
def test_a_rounded_rectangle_loses_its_corners(width: float, height: float, radius: float) -> None:
    loop = rounded_rectangle(np.array([3.0, -4.0]), width, height, radius)
    assert signed_area(loop) == pytest.approx(width * height - (4 - math.pi) * radius**2)
    assert length(loop) == pytest.approx(2 * (width + height) - (8 - 2 * math.pi) * radius)


def test_film_around_an_opening_by_the_trades_figures() -> None:
    # Opening 600 × 400 r 50, overlap 20: film 640 × 440 r 70; 1914.2, 2039.8 around, 277,394 mm².
    opening = rounded_rectangle(np.zeros(2), 600, 400, 50)
    film = grown(opening, 20)
    assert length(opening) == pytest.approx(1914.2, abs=0.05)
    assert length(film) == pytest.approx(2039.8, abs=0.05)
    assert signed_area(film) == pytest.approx(277_394, abs=1)
    assert smallest_radius(film) == pytest.approx(70)


@settings(deadline=None, max_examples=60)
@given(
    st.floats(0, 2 * math.pi),
    st.integers(0, 7),
    st.integers(3, 5),
    st.sampled_from([-1, 1]),
    st.floats(5, 25),
)
def test_an_outline_drawn_to_some_decimals_grows_and_shrinks_whole(
    turn: float, start: int, decimals: int, way: int, by: float
) -> None:
    # Rounded coordinates leave tangent joints with a hair of a kink; no slit may open there.
    exact = rounded_rectangle(np.zeros(2), 400, 300, 40)
    cosine, sine = math.cos(turn), math.sin(turn)
    points = exact.points @ np.array([[cosine, sine], [-sine, cosine]])
    drawn = make_chain(
        np.round(points, decimals), np.round(exact.bulges, decimals + 2), closed=True
    )
    loop = started_at(drawn, start)
    out = grown(loop, by) if way > 0 else shrunk(loop, by)
    assert out is not None
    around = 2 * (320 + 220) + 2 * math.pi * 40
    # Steiner, for parallels of a convex outline.
    assert length(out) == pytest.approx(around + way * 2 * math.pi * by, abs=0.1)
    assert np.abs(joint_turns(out)).max() < math.radians(1)


def test_rounding_sharp_corners() -> None:
    box = polyline([(0, 0), (300, 0), (300, 200), (0, 200)], closed=True)
    loop = rounded(box, 40)
    assert loop is not None
    assert signed_area(loop) == pytest.approx(300 * 200 - (4 - math.pi) * 1600, rel=1e-5)
    assert rounded(box, 120) is None
    assert shrunk(box, 101) is None


def test_gaps_between_outlines() -> None:
    assert least_gap(circle((0, 0), 50), circle((200, 0), 30)) == pytest.approx(120, abs=0.3)


def test_corners_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match="fit"):
        rounded_rectangle(np.zeros(2), 100, 60, 31)
