"""Loose segments become loops; ticks, long lines and neighbours stay what they are."""

import math
import random

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import (
    Chain,
    arc,
    circle,
    cubic,
    line,
    make_chain,
    polyline,
    reversed_chain,
    segments,
)
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.intake.healing import Healed, heal
from cutpath.model import Curve, Sort

SQUARE = ((0, 0), (100, 0), (100, 100), (0, 100))
Pair = tuple[float, float]


def curve(chain: Chain, name: str = "", sort: Sort = Sort.UNSAID, group: str = "") -> Curve:
    return Curve(chain, Source("sheet.dxf", "0", name), sort, group)


def lines(*pairs: tuple[Pair, Pair]) -> list[Curve]:
    return [curve(line(a, b), f"LINE {index}") for index, (a, b) in enumerate(pairs)]


def around(*corners: Pair) -> list[Curve]:
    return lines(*zip(corners, (*corners[1:], corners[0]), strict=True))


def healed(curves: list[Curve], tolerance: float = 0.1) -> Healed:
    return heal(curves, tolerance)[0]


def area(loop: Curve) -> float:
    return signed_area(loop.chain)


def test_four_lines_in_any_order_and_direction_are_a_square() -> None:
    for seed in range(20):
        shuffled = around(*SQUARE)
        random.Random(seed).shuffle(shuffled)
        mixed = [curve(reversed_chain(c.chain)) if k % 2 else c for k, c in enumerate(shuffled)]
        found = healed(mixed)
        assert [area(loop) for loop in found.loops] == [10_000]
        assert not found.open


def test_a_loop_drawn_clockwise_comes_out_counter_clockwise() -> None:
    found = healed([curve(polyline(SQUARE[::-1], closed=True))])
    assert area(found.loops[0]) == 10_000


@pytest.mark.parametrize(("gap", "closes"), [(0.0999, True), (0.1001, False)])
def test_a_gap_closes_up_to_the_tolerance(gap: float, closes: bool) -> None:
    found = healed(lines(((0, 0), (100, 0)), ((100 + gap, 0), (50, 80)), ((50, 80), (0, 0))))
    assert bool(found.loops) is closes


def test_both_ends_of_a_gap_move_to_the_middle() -> None:
    found, told = heal(lines(((0, 0), (100, 0)), ((100.08, 0), (50, 80)), ((50, 80), (0, 0))))
    assert bounds(found.loops[0].chain)[2] == pytest.approx(100.04, abs=1e-12)
    assert [finding.message for finding in told] == [
        "1 gap closed, the widest 0.080 mm; both ends moved to the middle"
    ]


def test_the_last_digit_of_a_file_is_closed_without_a_word() -> None:
    found, told = heal(lines(((0, 0), (100, 0)), ((100.0004, 0), (50, 80)), ((50, 80), (0, 0))))
    assert found.loops
    assert not told


def test_arcs_and_cubics_stay_arcs_and_cubics() -> None:
    bow = cubic((50, 0), (50, 40), (-50, 40), (-50, 0))
    found = healed([curve(arc((0, 0), 50, math.pi, math.pi)), curve(bow)])
    loop = found.loops[0].chain
    assert loop.is_arc.sum() == 1
    assert loop.is_cubic.sum() == 1
    assert length(loop) == pytest.approx(50 * math.pi + length(bow), abs=1e-9)


def test_a_tangent_handle_moves_with_the_end_that_moves() -> None:
    bow = cubic((50.06, 0), (50.06, 40), (-50, 40), (-50, 0))
    loop = healed([curve(line((-50, 0), (50, 0))), curve(bow)]).loops[0].chain
    at = int(np.flatnonzero(loop.is_cubic)[0])
    first, handle = loop.starts[at], loop.handles[at, 0]
    assert (handle - first)[0] == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("spacing", [0.02, 0.05, 0.09])
def test_a_curve_of_steps_finer_than_the_tolerance_keeps_every_step(spacing: float) -> None:
    count = round(2 * math.pi * 5 / spacing)
    angle = np.linspace(0, 2 * math.pi, count, endpoint=False)
    ring = np.column_stack([np.cos(angle), np.sin(angle)]) * 5
    pieces = [curve(line(ring[k], ring[(k + 1) % count])) for k in range(count)]
    random.Random(4).shuffle(pieces)
    found = healed(pieces)
    assert [len(loop.chain) for loop in found.loops] == [count]


def test_fine_steps_that_do_not_quite_meet_are_one_loop_too() -> None:
    count, rng = 400, np.random.default_rng(5)
    angle = np.linspace(0, 2 * math.pi, count, endpoint=False)
    ring = np.column_stack([np.cos(angle), np.sin(angle)]) * 5  # steps of 0.0785 mm
    ends = np.stack([ring, np.roll(ring, -1, axis=0)], axis=1)
    ends += rng.uniform(-0.006, 0.006, ends.shape)
    found = healed([curve(line(a, b)) for a, b in rng.permutation(ends)])
    assert len(found.loops) == 1
    assert area(found.loops[0]) == pytest.approx(25 * math.pi, rel=5e-3)
    assert nearest(found.loops[0].chain, ring).distance.max() < 0.05


# Ticks and lines that end on a joint of the outline


@pytest.mark.parametrize("off", [0.0, 0.05])
@pytest.mark.parametrize("ahead", [(100, -8), (108, 108), (92, -6), (112, 0)])
def test_a_tick_at_a_joint_stays_out_of_the_outline(off: float, ahead: Pair) -> None:
    tick = line((100 + off, 0), ahead)
    found = healed([curve(tick, "tick"), *around(*SQUARE)])
    assert [len(loop.chain) for loop in found.loops] == [4]
    assert [c.source.entity for c in found.open] == ["tick"]
    assert (found.open[0].chain.points == tick.points).all()


def test_a_tick_that_was_snapped_to_one_side_of_a_gap_does_not_take_its_place() -> None:
    sides = lines(((0, 0), (100, 0)), ((100.06, 0), (100, 100)), ((100, 100), (0, 0)))
    found = healed([*sides, curve(line((100, 0), (112, 0)))])
    assert [len(loop.chain) for loop in found.loops] == [3]
    assert len(found.open) == 1


def test_a_tick_of_two_lines_and_a_long_line_stay_out_as_well() -> None:
    more = lines(((100, 0), (104, -4)), ((104, -4), (108, -8)), ((0, 0), (-300, 0)))
    found = healed([*more, *around(*SQUARE)])
    assert [len(loop.chain) for loop in found.loops] == [4]
    assert sorted(len(c.chain) for c in found.open) == [1, 2]


def test_a_tick_that_only_touches_or_crosses_an_edge_stays_a_line() -> None:
    ticks = lines(((50, 0), (50, -6)), ((100, 40), (94, 40)), ((-5, 50), (5, 50)))
    found = healed([*ticks, *around(*SQUARE)])
    assert len(found.loops) == 1
    assert len(found.open) == 3


def test_a_dash_shorter_than_the_tolerance_does_not_close_on_itself() -> None:
    found = healed([*around(*SQUARE), *lines(((50, 0), (50, 0.08)))])
    assert len(found.loops) == 1
    assert len(found.open) == 1


def test_a_line_across_a_panel_from_joint_to_joint_stays_inside_it() -> None:
    sides = around((0, 0), (50, 0), (100, 0), (100, 80), (50, 80), (0, 80))
    across = lines(((50, 0), (50, 80)))
    for seed in range(10):
        mixed = [*across, *sides]
        random.Random(seed).shuffle(mixed)
        found = healed(mixed)
        assert [area(loop) for loop in found.loops] == [8000]
        assert [length(c.chain) for c in found.open] == [80]


def test_panels_that_touch_at_a_corner_are_two() -> None:
    other = [curve(c.chain) for c in around((100, 100), (180, 100), (180, 180), (100, 180))]
    for seed in range(10):
        mixed = [*around(*SQUARE), *other]
        random.Random(seed).shuffle(mixed)
        found = healed(mixed)
        assert sorted(area(loop) for loop in found.loops) == [6400, 10_000]
        assert not found.open


def test_three_panels_around_one_point_are_three() -> None:
    wedges: list[Curve] = []
    for k in range(3):
        a, b = (math.radians(120 * k + d) for d in (0, 80))
        rim = [(90 * math.cos(t), 90 * math.sin(t)) for t in (a, b)]
        wedges += around((0, 0), *rim)
    found = healed(wedges)
    want = 90**2 * math.sin(math.radians(80)) / 2
    assert [area(loop) for loop in found.loops] == pytest.approx([want] * 3)


def test_blocks_and_cutouts_are_not_joined_with_what_they_lie_beside() -> None:
    a, b, c, d = (side.chain for side in around(*SQUARE))
    by_block = [curve(s, group=g) for s, g in ((a, "P1"), (b, "P1"), (c, "P2"), (d, "P2"))]
    found = healed(by_block)
    assert not found.loops
    assert sorted(open_.group for open_ in found.open) == ["P1", "P2"]
    by_sort = [curve(a, sort=Sort.CUTOUT), *(curve(s, sort=Sort.OUTLINE) for s in (b, c, d))]
    assert not healed(by_sort).loops


def test_an_outline_half_of_which_is_unsaid_is_an_outline() -> None:
    sides = [side.chain for side in around(*SQUARE)]
    found = healed([curve(sides[0]), *(curve(s, sort=Sort.OUTLINE) for s in sides[1:])])
    assert [loop.sort for loop in found.loops] == [Sort.OUTLINE]


@pytest.mark.parametrize("sort", [Sort.NOTCH, Sort.DRAWN, Sort.GRAIN, Sort.SEW])
def test_what_bounds_no_panel_is_not_joined(sort: Sort) -> None:
    found = healed([curve(side.chain, sort=sort) for side in around(*SQUARE)])
    assert not found.loops
    assert len(found.open) == 4


# What cannot be healed


def test_a_loop_that_crosses_itself_is_told_with_the_place() -> None:
    bow = around((0, 0), (100, 100), (100, 0), (0, 100))
    with pytest.raises(InputError, match="crosses") as caught:
        heal(bow)
    assert caught.value.source.xy == pytest.approx((50, 50))
    assert caught.value.source.file == "sheet.dxf"
    assert "LINE 0" in str(caught.value)
    assert caught.value.remedy


def test_an_arc_that_crosses_a_line_is_told() -> None:
    dent = [curve(arc((50, 0), 50, math.pi, -math.pi)), *lines(((100, 0), (50, 40)))]
    with pytest.raises(InputError, match="crosses"):
        heal([*dent, *lines(((50, 40), (50, 60)), ((50, 60), (0, 0)))])


def test_a_coordinate_that_is_not_a_number_is_told() -> None:
    good = make_chain([(0, 0), (1, 0)])
    bad = Chain(np.array([[0.0, 0.0], [math.nan, 1.0]]), good.bulges, good.handles, closed=False)
    with pytest.raises(InputError, match="not a number") as caught:
        heal([curve(good, "LINE 1"), curve(bad, "LINE 2")])
    assert caught.value.source.entity == "LINE 2"


def test_ends_too_many_in_one_place_are_refused_and_not_waited_for() -> None:
    rng = np.random.default_rng(1)
    angle = np.linspace(0, 2 * math.pi, 1000, endpoint=False)
    inner = rng.uniform(-0.04, 0.04, (1000, 2))
    outer = 900 * np.column_stack([np.cos(angle), np.sin(angle)])
    with pytest.raises(InputError, match="tolerance") as caught:
        heal([curve(line(a, b)) for a, b in zip(inner, outer, strict=True)])
    assert "--units" in caught.value.remedy
    assert caught.value.source.xy == pytest.approx((0, 0), abs=0.05)


def test_nothing_gives_nothing() -> None:
    found, told = heal([])
    assert (found.loops, found.open, told) == ((), (), ())


# Whatever the loop, however it is taken apart


@st.composite
def star(draw: st.DrawFn) -> Chain:
    """Make a closed loop of lines, arcs and cubics that does not cross itself."""
    count = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(60, 140), min_size=count, max_size=count))
    kinds = draw(st.lists(st.integers(0, 2), min_size=count, max_size=count))
    angle = 2 * math.pi * np.arange(count) / count
    points = np.array(radii)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    after = np.roll(points, -1, axis=0)
    bulges = np.where(np.array(kinds) == 1, 0.1, 0.0)
    handles = np.full((count, 2, 2), np.nan)
    for k in np.flatnonzero(np.array(kinds) == 2):
        handles[k] = points[k] * 0.7 + after[k] * 0.35, points[k] * 0.3 + after[k] * 0.7
    shift = draw(st.floats(-2000, 2000))
    return make_chain(points + shift, bulges, handles + shift, closed=True)


@st.composite
def taken_apart(draw: st.DrawFn) -> tuple[list[Chain], list[Curve], float]:
    """Make some loops apart from each other, and their segments shuffled, reversed, shaken."""
    shake = draw(st.sampled_from([0.0, 1e-9, 0.03]))
    seed = draw(st.integers(0, 2**32 - 1))
    rng = random.Random(seed)
    loops, pieces = [], []
    for index in range(draw(st.integers(1, 3))):
        loop = draw(star())
        shift = np.array([5000.0 * index, 0])
        loop = make_chain(loop.points + shift, loop.bulges, loop.handles + shift, closed=True)
        loops.append(loop)
        for part in segments(loop):
            off = np.array([[rng.uniform(-shake, shake) for _ in "xy"] for _ in range(2)])
            moved = make_chain(part.points + off, part.bulges, part.handles)
            pieces.append(reversed_chain(moved) if rng.random() < 0.5 else moved)
    rng.shuffle(pieces)
    return loops, [curve(piece, f"LINE {k}") for k, piece in enumerate(pieces)], shake


@given(taken_apart())
def test_a_loop_taken_apart_comes_back(case: tuple[list[Chain], list[Curve], float]) -> None:
    loops, pieces, shake = case
    found = healed(pieces)
    assert not found.open
    assert len(found.loops) == len(loops)
    for loop in loops:
        back = min(found.loops, key=lambda c: nearest(c.chain, loop.points).distance.max())
        assert len(back.chain) == len(loop)
        assert area(back) > 0
        assert area(back) == pytest.approx(signed_area(loop), rel=1e-6 + shake * 0.05)
        assert nearest(back.chain, loop.points).distance.max() <= 1.5 * shake + 1e-9


@given(taken_apart())
def test_no_end_moves_by_more_than_half_the_tolerance(
    case: tuple[list[Chain], list[Curve], float],
) -> None:
    _, pieces, _ = case
    found = healed(pieces)
    joints = np.concatenate([loop.chain.points for loop in found.loops])
    for piece in pieces:
        for end in (piece.chain.first, piece.chain.last):
            assert np.hypot(*(joints - end).T).min() <= 0.05 + 1e-9


@given(taken_apart(), st.integers(0, 3))
def test_healing_what_is_healed_changes_nothing(
    case: tuple[list[Chain], list[Curve], float], missing: int
) -> None:
    _, pieces, _ = case
    once = healed(pieces[missing:])
    again, told = heal((*once.loops, *once.open))
    assert not told
    assert len(again.loops) == len(once.loops)
    assert len(again.open) == len(once.open)
    for a, b in zip((*once.loops, *once.open), (*again.loops, *again.open), strict=True):
        assert (a.chain.points == b.chain.points).all()


@given(taken_apart(), st.randoms(use_true_random=False))
def test_the_order_of_drawing_does_not_matter(
    case: tuple[list[Chain], list[Curve], float], rng: random.Random
) -> None:
    _, pieces, _ = case
    other = list(pieces)
    rng.shuffle(other)
    areas = [sorted(area(loop) for loop in healed(some).loops) for some in (pieces, other)]
    assert areas[0] == pytest.approx(areas[1], rel=1e-12)


def test_a_circle_needs_no_healing() -> None:
    found, told = heal([curve(circle((0, 0), 20))])
    assert area(found.loops[0]) == pytest.approx(400 * math.pi)
    assert not told
