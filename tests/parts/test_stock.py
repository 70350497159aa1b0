"""Cut lists: what holds for each of them, whatever the lengths."""

import math
import random

import pytest
from hypothesis import given, settings, strategies as st

from cutpath.parts.stock import cut_list

ROLL = 50.0
pieces_ = st.lists(st.floats(1.0, 48.0), min_size=1, max_size=25)
remnants_ = st.lists(st.floats(2.0, 60.0), max_size=5)


@settings(deadline=None, max_examples=150)
@given(pieces_, remnants_, st.floats(0.0, 2.0))
def test_each_piece_is_cut_once_and_nothing_is_cut_twice(
    pieces: list[float], remnants: list[float], kerf: float
) -> None:
    cuts = cut_list(pieces, remnants, ROLL, kerf)
    assert sorted(i for bar in cuts.bars for i in bar.pieces) == list(range(len(pieces)))
    for bar in cuts.bars:
        used = math.fsum(pieces[i] + kerf for i in bar.pieces)
        assert used <= bar.length + 1e-5
        assert bar.left == pytest.approx(bar.length - used)
    old = sorted(bar.length for bar in cuts.bars if not bar.is_new)
    assert all(old.count(length) <= remnants.count(length) for length in old)
    new = [bar for bar in cuts.bars if bar.is_new]
    assert cuts.bought == pytest.approx(sum(bar.length - bar.left for bar in new), abs=1e-4)


@settings(deadline=None, max_examples=60)
@given(pieces_, remnants_)
def test_a_further_remnant_never_costs_more(pieces: list[float], remnants: list[float]) -> None:
    before = cut_list(pieces, remnants, ROLL, 0.0)
    after = cut_list(pieces, [*remnants, 20.0], ROLL, 0.0)
    if before.is_best and after.is_best:
        assert after.bought <= before.bought + 1e-4


@given(pieces_, remnants_, st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=60)
def test_the_order_in_which_it_is_said_changes_nothing(
    pieces: list[float], remnants: list[float], luck: random.Random
) -> None:
    before = cut_list(pieces, remnants, ROLL, 0.0)
    luck.shuffle(pieces)
    after = cut_list(pieces, remnants, ROLL, 0.0)
    assert before.bought == pytest.approx(after.bought)
    assert before.rolls == after.rolls


def test_longest_come_first_from_each_length() -> None:
    cuts = cut_list([300, 500, 300, 400], [1000], 2000, 2)
    for bar in cuts.bars:
        lengths = [[300, 500, 300, 400][i] for i in bar.pieces]
        assert lengths == sorted(lengths, reverse=True)


def test_a_piece_too_long_for_a_roll_gets_the_remnant_that_holds_it() -> None:
    # The fuller way, 7 + 4 from the remnant of 11, would leave nothing that holds 8.
    cuts = cut_list([8, 7, 4], [11], 7.5, 0)
    (old,) = [bar for bar in cuts.bars if not bar.is_new]
    assert old.pieces == (0,)
    with pytest.raises(ValueError, match="longer"):
        cut_list([8, 8], [11], 7.5, 0)


def test_equally_full_remnants_leave_what_takes_fewer_rolls() -> None:
    # 13 is filled by 9 + 4, which leaves 7, 6, 5 for three rolls of 10; and by 7 + 6, which leaves
    # 9, 5, 4 for two.
    cuts = cut_list([9, 7, 6, 5, 4], [13], 10, 0)
    assert (cuts.bought, cuts.rolls, cuts.is_best) == (18, 2, True)


def test_many_pieces_end_soon_and_say_what_is_not_proven() -> None:
    alike = cut_list([604.0] * 5000, [3000.0], 50_000.0, 2.0)
    assert alike.is_best
    assert alike.rolls == math.ceil((5000 - 4) / 82)  # 50 000 / 606 = 82 to a roll
    different = cut_list([600 + 0.7 * i for i in range(300)], [3000.0, 4000.0], 50_000.0, 2.0)
    assert not different.is_best
    assert different.rolls == math.ceil(different.bought / 50_000)


def test_nothing_to_cut_is_no_fault() -> None:
    assert cut_list([], [1000.0], 50_000.0, 2.0).bars == ()
    with pytest.raises(ValueError, match="some length"):
        cut_list([0.0], [], 50_000.0, 2.0)
