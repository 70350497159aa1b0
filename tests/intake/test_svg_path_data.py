"""Path data: the grammar, what each command draws, and what happens on a mistake."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry, points_at
from cutpath.geometry.measure import length
from cutpath.geometry.transform import identity
from cutpath.intake.svg.path_data import parse_path_data, parse_points
from cutpath.intake.svg.placing import placed


def chains(text: str) -> list[Chain]:
    drawn = parse_path_data(text)
    assert not drawn.fault
    return [placed(outline, identity()) for outline in drawn.outlines]


def joints(text: str) -> list[list[float]]:
    (chain,) = chains(text)
    return [[float(number) for number in point] for point in chain.points]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("M1 2L3 4", [[1, 2], [3, 4]]),
        ("M1,2 3,4 5,6", [[1, 2], [3, 4], [5, 6]]),
        ("m1,2 3,4 5,6", [[1, 2], [4, 6], [9, 12]]),
        ("M0 0h5v5H1V2", [[0, 0], [5, 0], [5, 5], [1, 5], [1, 2]]),
        ("M0 0h1 2 3", [[0, 0], [1, 0], [3, 0], [6, 0]]),
        ("M100-200L.5.5", [[100, -200], [0.5, 0.5]]),
        ("M+1e1-1E-1L1.5.5-.5e+1.2", [[10, -0.1], [1.5, 0.5], [-5, 0.2]]),
        ("\n M 1\t2\r\nL 3 ,4 ", [[1, 2], [3, 4]]),
        ("M1 1L2 2M5 5", [[1, 1], [2, 2]]),
    ],
)
def test_numbers_and_lines(text: str, expected: list[list[float]]) -> None:
    assert joints(text) == expected


def test_a_closed_subpath_does_not_repeat_its_first_point() -> None:
    drawn_back, left_open = chains("M0 0H4V3Z"), chains("M0 0H4V3L0 0Z")
    for (chain,) in (drawn_back, left_open):
        assert chain.closed
        assert chain.points.tolist() == [[0, 0], [4, 0], [4, 3]]
        assert length(chain) == pytest.approx(12)


def test_after_closing_the_pen_is_at_the_subpaths_start() -> None:
    first, second = chains("M10 10h5v5zl1 1")
    assert first.closed
    assert not second.closed
    assert second.points.tolist() == [[10, 10], [11, 11]]


def test_relative_closing_forgives_the_rounding_of_sums() -> None:
    (chain,) = chains("m.1.1h.7v.7h-.1h-.1h-.1h-.1h-.1h-.1h-.1v-.7z")
    assert len(chain) == 10


def test_a_smooth_curve_mirrors_only_its_own_kind() -> None:
    (after_cubic,) = chains("M0 0C1 2 3 4 5 6S8 8 9 9")
    assert after_cubic.handles[1, 0].tolist() == [7, 8]
    for before in ("L5 6", "Q3 4 5 6", "T5 6", "A9 9 0 0 0 5 6"):
        (chain,) = chains(f"M0 0{before}S8 8 9 9")
        assert chain.handles[-1, 0].tolist() == [5, 6]
    (chain,) = chains("M0 0C1 2 3 4 5 6A9 9 0 0 0 7 8S8 8 9 9")
    assert chain.handles[-1, 0].tolist() == [7, 8]
    (after_quadratic,) = chains("M0 0Q1 2 3 4T9 9")
    (the_same,) = chains("M0 0Q1 2 3 4Q5 6 9 9")
    np.testing.assert_allclose(after_quadratic.handles, the_same.handles)
    (after_other,) = chains("M0 0C1 2 3 4 5 6T9 9")
    (straight,) = chains("M0 0C1 2 3 4 5 6Q5 6 9 9")
    np.testing.assert_allclose(after_other.handles, straight.handles)
    (twice,) = chains("M0 0Q1 2 3 4T5 6t1 1")
    (spelled,) = chains("M0 0Q1 2 3 4Q5 6 5 6Q5 6 6 7")
    np.testing.assert_allclose(twice.handles, spelled.handles)


def test_arc_flags_need_no_separators() -> None:
    np.testing.assert_allclose(joints("M0 0a5 5 0 0110 10"), joints("M0 0a5 5 0 0 1 10 10"))
    np.testing.assert_allclose(
        joints("M0 0a25,25 -30 0,1 50,-25 25,25-30 0150-25"),
        joints("M0 0a25 25 -30 0 1 50 -25a25 25 -30 0 1 50 -25"),
    )


@pytest.mark.parametrize(
    ("text", "points", "words"),
    [
        ("L1 1", [], "must begin with M"),
        ("M 10,10 L 20,20,30", [(10, 10), (20, 20)], "takes its numbers by 2"),
        ("M0 0L1 1,", [(0, 0), (1, 1)], "a command is expected"),
        ("M0 0L1 1 X 3", [(0, 0), (1, 1)], "before 'X 3'"),
        ("M0 0L1 1L", [(0, 0), (1, 1)], "L needs 2 numbers at its end"),
        ("M0 0L1 1A5 5 0 2 0 3 3", [(0, 0), (1, 1)], "flags"),
        ("M0 0A5 5 0 0 0 3 3 5 5 0", [(0, 0), (3, 3)], "flags"),
        ("M0 0L1 1A 100 1 1 5 5", [(0, 0), (1, 1)], "flags"),  # 100 is not 1, 0 and 0
        ("M0 0L1 1L1e999 4", [(0, 0), (1, 1)], "too large"),
        ("M0 0L1 1LNaN 4", [(0, 0), (1, 1)], "before 'NaN 4'"),
        ("M0 0L1,,1", [], "takes its numbers by 2"),
        ("M0 0L1 1B4", [(0, 0), (1, 1)], "a command is expected"),
    ],
)
def test_a_mistake_keeps_what_came_before(
    text: str, points: list[tuple[float, float]], words: str
) -> None:
    drawn = parse_path_data(text)
    assert words in drawn.fault
    assert [point for outline in drawn.outlines for point in outline.points] == points


def test_points_without_a_partner_are_left_out() -> None:
    assert parse_points("1,2 3,4 5") == (
        [(1, 2), (3, 4)],
        "the last coordinate has no partner and is left out",
    )
    points, fault = parse_points("1,2 3,4 x")
    assert points == [(1, 2), (3, 4)]
    assert "before 'x'" in fault


coordinate = st.floats(-500, 500).map(lambda number: round(number, 3))


@given(
    end=st.tuples(coordinate, coordinate),
    radii=st.tuples(st.floats(5, 900), st.floats(5, 900)),
    tilt=st.floats(-400, 400),
    large=st.booleans(),
    sweep=st.booleans(),
    is_round=st.booleans(),
)
def test_arcs_lie_on_the_ellipse_of_the_published_formula(
    end: tuple[float, float],
    radii: tuple[float, float],
    tilt: float,
    large: bool,
    sweep: bool,
    is_round: bool,
) -> None:
    """The centre by SVG 1.1's appendix F.6.5 and F.6.6, which the reader does not compute."""
    if math.hypot(*end) < 0.01:
        return
    rx, ry = (radii[0], radii[0]) if is_round else radii
    (chain,) = chains(f"M0 0A{rx!r} {ry!r} {tilt!r} {large:d} {sweep:d} {end[0]} {end[1]}")
    centre, rx, ry, start, extent = published_arc(end, rx, ry, math.radians(tilt), large, sweep)
    share = np.linspace(0, 1, 601)
    cos, sin = math.cos(math.radians(tilt)), math.sin(math.radians(tilt))
    u, v = rx * np.cos(start + extent * share), ry * np.sin(start + extent * share)
    expected = centre + np.column_stack([cos * u - sin * v, sin * u + cos * v])
    on = sampled(chain)
    gap = np.hypot(*(on[:, None] - expected[None]).transpose(2, 0, 1))
    spacing = np.hypot(*np.diff(expected, axis=0).T).max()
    assert gap.min(axis=1).max() <= spacing  # no point of it lies elsewhere
    assert gap.min(axis=0).max() <= spacing + length(chain) / len(on)  # and none is missing
    np.testing.assert_allclose(chain.last, end, atol=1e-9)
    # Each point on its ellipse: F.6.2's implicit form.
    local = (on - centre) @ np.array([[cos, -sin], [sin, cos]]) / [rx, ry]
    assert np.abs(np.hypot(*local.T) - 1).max() * min(rx, ry) < 1.1e-5 + 1e-6 * max(rx, ry) / 100


def sampled(chain: Chain) -> np.ndarray:
    parameter = np.linspace(0, 1, 100)
    return np.concatenate(
        [points_at(chain, np.full(100, index), parameter) for index in range(len(chain))]
    )


def published_arc(
    end: tuple[float, float], rx: float, ry: float, tilt: float, large: bool, sweep: bool
) -> tuple[np.ndarray, float, float, float, float]:
    turn = np.array([[math.cos(tilt), math.sin(tilt)], [-math.sin(tilt), math.cos(tilt)]])
    x, y = turn @ (-np.array(end) / 2)
    reach = (x / rx) ** 2 + (y / ry) ** 2
    if reach > 1:
        rx, ry = rx * math.sqrt(reach), ry * math.sqrt(reach)
    over = (rx * ry) ** 2 - (rx * y) ** 2 - (ry * x) ** 2
    root = math.sqrt(max(over / ((rx * y) ** 2 + (ry * x) ** 2), 0.0))
    cx, cy = (1 if large != sweep else -1) * root * np.array([rx * y / ry, -ry * x / rx])
    start = math.atan2((y - cy) / ry, (x - cx) / rx)
    extent = math.atan2((-y - cy) / ry, (-x - cx) / rx) - start
    extent %= 2 * math.pi
    if not sweep:
        extent -= 2 * math.pi
    return turn.T @ np.array([cx, cy]) + np.array(end) / 2, rx, ry, start, extent


def test_a_circular_arc_is_kept_as_an_arc() -> None:
    (chain,) = chains("M0 0A10 10 77 1 0 10 10")
    assert chain.is_arc.all()
    _, radius, _, sweep = arc_geometry(chain)
    np.testing.assert_allclose(radius, 10)
    assert sweep.sum() == pytest.approx(-math.radians(270))


@given(st.text(alphabet="MmLlHhVvCcSsQqTtAaZz0123456789+-.,eE \n", max_size=60))
def test_no_text_stops_the_reader(text: str) -> None:
    for outline in parse_path_data(text).outlines:
        assert len(outline.points) == len(outline.bulges) + (not outline.closed)
