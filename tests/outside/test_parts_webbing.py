"""Webbing, thread and stock cutting against published figures, plane geometry and brute force."""

import itertools
import math
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from cutpath.errors import InputError
from cutpath.part_model import Part
from cutpath.parts.stock import cut_list
from cutpath.parts.thread import RATIOS, thread_for, thread_ratio
from cutpath.parts.webbing import webbing_lists, webbings
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.settings.part_tables.webbing import ThreadEntry


def strap(**entry: object) -> Part:
    kind = {"fibre": entry.pop("fibre", "polyester"), "width": 25, "thickness": 1.5}
    said = {"webbings": {"w": kind}, "webbing": [{"of": "w", **entry}]}
    (part,) = webbings((), Job(JobFile.model_validate(said), Path("x.dxf")))
    return part


def test_a_strap_between_two_bars_by_hand() -> None:
    # 600 mm from bar centre to bar centre, bars of 5 mm, webbing 1.5 mm, 50 mm folded back at both
    # ends, 2 mm melted at each: 600 + 100 + 2 · π · 6.5 / 2 + 4 = 724.4.
    part = strap(length=600, turn_backs=[50, 50], bar=5)
    assert part.webbing[0].length == pytest.approx(600 + 100 + math.pi * 6.5 + 4)
    assert part.webbing[0].length == pytest.approx(724.4, abs=0.05)
    assert strap(length=600).webbing[0].length == 604
    assert strap(length=600, sealed=False).webbing[0].length == 600


def test_marks_stand_where_it_folds() -> None:
    piece = strap(length=600, turn_backs=[50, 50], bar=5).webbing[0]
    first, second = piece.marks
    assert second - first == pytest.approx(600 + math.pi * 6.5 / 2)
    assert first == pytest.approx(piece.length - second)


def test_four_straps_from_three_metres_by_hand() -> None:
    # 3 × 724.4 + 604 and four cuts of 2 mm: 2785.2 used of 3000, 214.8 left.
    cuts = cut_list([724.4] * 3 + [604.0], [3000.0], 50_000, 2.0)
    (bar,) = cuts.bars
    assert bar.left == pytest.approx(214.8)
    assert cuts.bought == 0
    assert cuts.is_best


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


def test_pieces_longer_than_any_stock_are_told() -> None:
    with pytest.raises(ValueError, match="longer"):
        cut_list([100.0], [50.0], 60.0, 2.0)
    said = {
        "webbings": {"w": {"fibre": "polyester", "width": 25, "roll": "1 m"}},
        "webbing": [{"of": "w", "length": "2 m"}],
    }
    job = Job(JobFile.model_validate(said), None)
    with pytest.raises(InputError, match="longer than a roll"):
        webbing_lists(webbings((), job), job)


@pytest.mark.parametrize(
    ("fibre", "words"), [("PVC", "hydrogen chloride"), ("unknown", "fumes"), ("cotton", "burns")]
)
def test_heat_stays_away_from_what_it_must_not_touch(fibre: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        strap(length=500, fibre=fibre)
    assert strap(length=500, fibre=fibre, sealed=False).webbing[0].length == 500


def test_blades_are_hotter_than_what_they_melt_and_below_what_decomposes() -> None:
    for fibre, melts in (("polypropylene", 165), ("polyester", 260), ("nylon", 260)):
        part = strap(length=500, fibre=fibre)
        blade = next(reason for reason in part.reasons if reason.what == "blade")
        assert melts - 5 < blade.value < 400


def test_thread_by_the_published_examples() -> None:
    # 10 stitches an inch through 0.01 in: C = 2 + 2 · 0.01 · 10 = 2.2 (textilecalculations.com).
    assert thread_ratio("301", 0.01 * 25.4, 25.4 / 10) == pytest.approx(2.2)
    # p 4 mm, T 2 mm: 3.0. Zigzag p 2.5, W 5, T 1.5: 5.672, near the 5.5 of apparelscience.com.
    assert thread_ratio("301", 2.0, 4.0) == pytest.approx(3.0)
    assert thread_ratio("304", 1.5, 2.5, 5.0) == pytest.approx(5.672, abs=5e-4)
    assert thread_ratio("304", 1.5, 2.5, 5.0) == pytest.approx(RATIOS["304"], rel=0.04)


def test_thread_of_a_whole_job_by_hand() -> None:
    # 12.4 m in two rows at C = 3.0 and 15 % waste: 12.4 · 2 · 3.0 · 1.15 = 85.6 m.
    entry = ThreadEntry(stitch_length=4.0, ply=1.0, waste=0.15)
    needed = thread_for(2 * 12_400, "301", 2, entry)
    assert needed * (1 + entry.waste) == pytest.approx(85_560)


def test_a_path_over_places_is_as_long_as_its_steps() -> None:
    part = strap(path=[(0, 0), (300, 400), (300, 900)], sealed=False)
    assert part.webbing[0].length == pytest.approx(1000)
