"""Cut lists before an exact solver of integer programs (HiGHS, in scipy) and a published case."""

import itertools
import math
import random

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from cutpath.parts.stock import cut_list
from cutpath.parts.stock_search import least_rolls
from cutpath.parts.stock_ways import Kinds


def judged(pieces: list[int], remnants: list[int], roll: int) -> tuple[int, int] | None:
    """Give (least new length, least rolls for it) as an integer program, None when impossible.

    Piece i comes from stock s or not (x), roll r is begun or not (y): each piece once, no stock
    beyond its length; the new length weighs more than all rolls.
    """
    count, old = len(pieces), len(remnants)
    stocks = [*remnants, *[roll] * count]
    width = len(stocks)
    size = count * width + count
    weights = np.array(pieces, dtype=float)
    rows, low, high = [], [], []
    for i in range(count):
        row = np.zeros(size)
        row[i * width : (i + 1) * width] = 1
        rows.append(row)
        low.append(1.0)
        high.append(1.0)
    for s, room in enumerate(stocks):
        row = np.zeros(size)
        row[s : count * width : width] = weights
        if s >= old:
            row[count * width + s - old] = -roll
        rows.append(row)
        low.append(-np.inf)
        high.append(0.0 if s >= old else room)
    cost = np.ones(size)
    cost[: count * width] = np.where(np.arange(width) < old, 0, 1000 * weights[:, None]).ravel()
    found = milp(
        cost, constraints=LinearConstraint(np.array(rows), low, high), bounds=Bounds(0, 1),
        integrality=np.ones(size), options={"mip_rel_gap": 0},
    )  # fmt: skip
    if found.x is None:
        return None
    taken = found.x[: count * width].reshape(count, width).round()
    return int(weights @ taken[:, old:].sum(axis=1)), int(found.x[count * width :].round().sum())


@pytest.mark.parametrize("seed", range(60))
def test_as_good_as_an_exact_solver(seed: int) -> None:
    luck = random.Random(seed)
    roll = luck.choice([20, 30])
    longest = roll + luck.choice([0, 0, 5])
    pieces = [luck.randint(1, longest) for _ in range(luck.randint(1, 9))]
    remnants = [luck.randint(3, 35) for _ in range(luck.randint(0, 3))]
    wanted = judged(pieces, remnants, roll)
    if wanted is None:
        with pytest.raises(ValueError, match="longer"):
            cut_list(pieces, remnants, roll, 0)
        return
    cuts = cut_list(pieces, remnants, roll, 0)
    assert cuts.is_best
    assert (cuts.bought, cuts.rolls) == (wanted[0], wanted[1])


@settings(deadline=None, max_examples=150)
@given(
    st.lists(st.integers(1, 40), min_size=1, max_size=6),
    st.lists(st.integers(5, 60), max_size=3),
    st.integers(0, 2),
)
def test_no_way_takes_less_new_length(pieces: list[int], remnants: list[int], kerf: int) -> None:
    roll = 60.0
    cuts = cut_list(pieces, remnants, roll, kerf)
    least = math.inf
    for places in itertools.product(range(len(remnants) + 1), repeat=len(pieces)):
        loads = [0] * len(remnants)
        new = 0
        for piece, place in zip(pieces, places, strict=True):
            if place < len(remnants):
                loads[place] += piece + kerf
            else:
                new += piece + kerf
        if all(load <= stock for load, stock in zip(loads, remnants, strict=True)):
            least = min(least, new)
    assert cuts.is_best
    assert cuts.bought == pytest.approx(least)
    assert sorted(i for bar in cuts.bars for i in bar.pieces) == list(range(len(pieces)))
    for bar in cuts.bars:
        assert bar.left >= -1e-6
        assert bar.left == pytest.approx(bar.length - sum(pieces[i] + kerf for i in bar.pieces))


@pytest.mark.parametrize("seed", range(40))
def test_bound_stays_below_an_exact_solver(seed: int) -> None:
    luck = random.Random(seed)
    pieces = [luck.choice([5, 6, 7, 8, 9, 11, 12, 13]) for _ in range(luck.randint(2, 9))]
    wanted = judged(pieces, [], 20)
    kinds = Kinds.of(pieces)
    assert wanted is not None
    assert least_rolls(kinds, kinds.counts, 20) <= wanted[1]


def test_the_paper_rolls_of_the_textbooks() -> None:
    # The example of the encyclopedia's article on the cutting stock problem (its figures from
    # memory): 219 rolls of 13 widths from parent rolls of 5600 mm; 73 is the known optimum.
    widths = {
        1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
        2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
    }  # fmt: skip
    pieces = [width for width, count in widths.items() for _ in range(count)]
    cuts = cut_list(pieces, [], 5600, 0)
    assert (len(pieces), cuts.rolls, cuts.is_best) == (219, 73, True)


def test_bound_where_length_alone_says_too_little() -> None:
    # Three pieces of 6 and three of 5 on rolls of 10: 33 / 10 says 4, but no two sixes, no six and
    # five, go together; two fives do: 3 + 2 = 5.
    kinds = Kinds.of([6, 6, 6, 5, 5, 5])
    assert least_rolls(kinds, kinds.counts, 10) == 5
    assert cut_list([6, 6, 6, 5, 5, 5], [], 10, 0).rolls == 5
