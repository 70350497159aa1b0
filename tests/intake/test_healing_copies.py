"""What is drawn twice, on top of itself or with no length is dropped, and counted."""

import math
import random
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.errors import Source
from cutpath.geometry.chain import (
    Chain,
    arc,
    circle,
    cubic,
    line,
    make_chain,
    polyline,
    reversed_chain,
    started_at,
)
from cutpath.geometry.measure import length, signed_area
from cutpath.intake.healing import heal
from cutpath.model import Curve, Sort

TRIANGLE = [((0, 0), (90, 0)), ((90, 0), (30, 70)), ((30, 70), (0, 0))]


def curves(*chains: Chain, sort: Sort = Sort.UNSAID) -> list[Curve]:
    return [Curve(chain, Source(entity=f"E {k}"), sort) for k, chain in enumerate(chains)]


def triangle() -> list[Chain]:
    return [line(a, b) for a, b in TRIANGLE]


def words(drawn: list[Curve], loops: int = 1, loose: int = 0) -> list[str]:
    found, told = heal(drawn)
    assert (len(found.loops), len(found.open)) == (loops, loose)
    return [finding.message for finding in told]


@pytest.mark.parametrize("off", [0.0, 0.02])
def test_a_line_drawn_twice_either_way_counts_once(off: float) -> None:
    copies = [line((off, 0), (90, off)), line((30, 70 - off), (90, 0))]
    assert words(curves(*triangle(), *copies)) == ["2 lines drawn twice dropped"]


def test_lines_further_apart_than_a_quarter_of_the_tolerance_are_two() -> None:
    found, told = heal(curves(line((0, 0), (90, 0)), line((0, 0.2), (90, 0.2))))
    assert len(found.open) == 2
    assert not told


def test_lines_without_length_are_dropped() -> None:
    drawn = curves(*triangle(), line((5, 5), (5, 5)), polyline([(1, 1), (1, 1), (1, 1)]))
    assert words(drawn) == ["2 lines without length dropped"]


def test_a_step_without_length_leaves_its_polyline() -> None:
    found, _ = heal(curves(polyline([(0, 0), (90, 0), (90, 0), (30, 70)], closed=True)))
    assert len(found.loops[0].chain) == 3


@pytest.mark.parametrize("turn", [0, 1, 2])
@pytest.mark.parametrize("back", [False, True])
def test_a_loop_drawn_twice_from_elsewhere_counts_once(turn: int, back: bool) -> None:
    loop = make_chain([(0, 0), (90, 0), (30, 70)], [0.2, 0, -0.1], closed=True)
    copy = started_at(loop, turn)
    drawn = curves(loop, reversed_chain(copy) if back else copy)
    assert words(drawn) == ["1 line drawn twice dropped"]


def test_a_loop_drawn_again_with_more_joints_counts_once() -> None:
    square = polyline([(0, 0), (80, 0), (80, 80), (0, 80)], closed=True)
    finer = polyline([(0, 0), (40, 0), (80, 0), (80, 80), (0, 80)], closed=True)
    drawn_back = polyline([(0, 0), (80, 0), (80, 80), (0, 80), (0, 0)])
    assert words(curves(square, finer, drawn_back)) == ["2 lines drawn twice dropped"]


def test_rings_about_one_centre_are_not_copies() -> None:
    rings = [circle((0, 0), radius) for radius in range(10, 60)]
    assert words(curves(*rings), loops=50) == []


def test_of_copies_the_one_whose_layer_speaks_stays() -> None:
    loop = circle((0, 0), 50)
    drawn = [*curves(loop), *curves(loop, sort=Sort.OUTLINE)]
    assert [loop.sort for loop in heal(drawn)[0].loops] == [Sort.OUTLINE]


def test_notches_drawn_twice_count_once_too() -> None:
    drawn = curves(line((0, 0), (0, 5)), line((0, 5), (0, 0)), sort=Sort.NOTCH)
    assert words(drawn, loops=0, loose=1) == ["1 line drawn twice dropped"]


@pytest.mark.parametrize(("a", "b"), [((0, 0), (61, 17)), ((9000, -4000), (9061, -3983))])
def test_lines_that_overlap_become_one_from_end_to_end(
    a: tuple[float, float], b: tuple[float, float]
) -> None:
    start, step = np.array(a), np.array(b) - np.array(a)
    parts = [(0, 0.6), (0.5, 0.2), (0.45, 1.0)]
    chains = [line(start + step * low, start + step * high) for low, high in parts]
    found, told = heal(curves(*chains))
    assert [finding.message for finding in told] == ["2 lines lying on others merged into them"]
    assert [length(c.chain) for c in found.open] == pytest.approx([float(np.hypot(*step))])


def test_lines_that_only_meet_end_to_end_are_not_an_overlap() -> None:
    found, told = heal(curves(line((0, 0), (50, 0)), line((50, 0), (90, 0))))
    assert not told
    assert len(found.open[0].chain) == 2


def test_polylines_that_overlap_are_one_loop() -> None:
    one = polyline([(0, 0), (100, 0), (100, 100)])
    other = polyline([(100, 40), (100, 100), (0, 100), (0, 0)])
    found, told = heal(curves(one, other))
    assert signed_area(found.loops[0].chain) == 10_000
    assert [finding.message for finding in told] == ["1 line lying on others merged into them"]


def test_lines_drawn_over_a_closed_outline_go() -> None:
    outline = polyline([(0, 0), (100, 0), (100, 100), (0, 100)], closed=True)
    over = [line((20, 0), (70, 0)), polyline([(100, 30), (100, 100), (40, 100)])]
    assert words(curves(outline, *over)) == ["3 lines lying on others merged into them"]


def test_closed_outlines_that_share_an_edge_stay_two() -> None:
    left = polyline([(0, 0), (100, 0), (100, 100), (0, 100)], closed=True)
    right = polyline([(100, 0), (200, 0), (200, 100), (100, 100)], closed=True)
    assert words(curves(left, right), loops=2) == []


def test_arcs_that_overlap_make_the_whole_circle() -> None:
    drawn = curves(arc((3, 4), 50, 0, 4), reversed_chain(arc((3, 4), 50, 3.9, 2 * math.pi - 3.9)))
    found, _ = heal(drawn)
    assert signed_area(found.loops[0].chain) == pytest.approx(2500 * math.pi, rel=1e-9)


@given(st.floats(0.3, 2.5), st.floats(0.3, 2.5), st.floats(-7, 7), st.booleans())
def test_arcs_that_overlap_become_one_of_the_whole_sweep(
    one: float, other: float, start: float, back: bool
) -> None:
    step = one * 0.7
    second = arc((200, -70), 80, start + step, other)
    found, _ = heal(
        curves(arc((200, -70), 80, start, one), reversed_chain(second) if back else second)
    )
    want = 80 * max(one, step + other)
    assert sum(length(c.chain) for c in found.open) == pytest.approx(want, abs=1e-6)
    assert len(found.open) == 1


@pytest.mark.parametrize("start", [0.1, 1.0, 3.0, 5.5])
def test_an_arc_drawn_over_a_circle_goes(start: float) -> None:
    drawn = curves(circle((40, 9), 50), arc((40, 9), 50, start, 1.2))
    assert words(drawn)[-1].endswith("lying on others merged into them")


def test_arcs_of_other_circles_are_left_alone() -> None:
    assert words(curves(arc((0, 0), 50, 0, 2), arc((0, 0), 51, 0, 2)), 0, 2) == []


def test_a_cubic_drawn_twice_counts_once() -> None:
    bow = cubic((0, 0), (10, 40), (80, 40), (90, 0))
    drawn = curves(bow, reversed_chain(bow), line((0, 0), (90, 0)))
    assert words(drawn) == ["1 line drawn twice dropped"]


@given(st.integers(0, 2**32 - 1), st.integers(1, 40))
def test_a_line_in_overlapping_bits_comes_back_whole(seed: int, count: int) -> None:
    rng = random.Random(seed)
    cuts = sorted([0.0, 1.0, *(rng.random() for _ in range(count))])
    bits = [(max(0.0, a - 0.01), min(1.0, b + 0.01)) for a, b in pairwise(cuts)]
    rng.shuffle(bits)
    a, step = np.array([17.0, -900.0]), np.array([1200.0, 431.0])
    drawn = [line(a + step * low, a + step * high) for low, high in bits]
    drawn = [reversed_chain(c) if rng.random() < 0.5 else c for c in drawn]
    found, _ = heal(curves(*drawn))
    assert [length(c.chain) for c in found.open] == pytest.approx([float(np.hypot(*step))])
    assert len(found.open[0].chain) == 1


def test_a_hairpin_narrower_than_the_tolerance_is_wide_is_not_an_overlap() -> None:
    slit = polyline([(0, 0), (90, 0), (90, 60), (40, 60), (39.8, 20), (39.6, 60), (0, 60)])
    found, told = heal(curves(slit, line((0, 60), (0, 0))))
    assert len(found.loops[0].chain) == 7
    assert not told
