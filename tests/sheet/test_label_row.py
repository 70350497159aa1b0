"""Labels in a row: in order, apart, and as near as can be to what they name."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, strategies as st
from scipy.optimize import isotonic_regression

from cutpath.sheet.label_row import apart, chosen, spread
from cutpath.sheet.words import printable, shortened, signed, text_width, wrapped

rows = st.lists(st.tuples(st.floats(0, 200), st.floats(0.5, 12)), min_size=1, max_size=20)


@given(rows)
def test_labels_stay_in_order_apart_and_inside(row: list[tuple[float, float]]) -> None:
    wanted = sorted(place for place, _ in row)
    widths = [wide for _, wide in row]
    high = max(200.0, sum(widths))
    found = spread(wanted, widths, 0.0, high)
    assert found[0] - widths[0] / 2 >= -1e-9
    assert found[-1] + widths[-1] / 2 <= high + 1e-9
    pairs = zip(itertools.pairwise(found), itertools.pairwise(widths), strict=True)
    for (left, right), (one, other) in pairs:
        assert right - left >= (one + other) / 2 - 1e-9


@given(rows)
def test_shifts_are_the_least_as_a_library_finds_them(row: list[tuple[float, float]]) -> None:
    # Judge: scipy.optimize.isotonic_regression on places less the room that labels before take.
    wanted = np.array(sorted(place for place, _ in row))
    widths = np.array([wide for _, wide in row])
    offsets = np.concatenate([[0.0], np.cumsum((widths[:-1] + widths[1:]) / 2)])
    expected = isotonic_regression(wanted - offsets).x + offsets
    found = spread(wanted.tolist(), widths.tolist(), -1e6, 1e6)
    assert found == pytest.approx(expected, abs=1e-6)


def test_no_labels_take_no_room() -> None:
    assert spread([], [], 0.0, 10.0) == []


def test_the_heaviest_are_kept_where_not_all_fit() -> None:
    kept = chosen([0, 0, 0, 9, 0, 0, 0, 0], [4.0] * 8, 12.0)
    assert 3 in kept
    assert len(kept) == 3


def test_labels_that_stay_where_they_are_do_not_touch() -> None:
    assert apart([0, 1, 2, 10], [3, 3, 3, 3], [0, 5, 0, 0]) == [1, 3]


@given(st.text(max_size=60), st.floats(5, 60))
def test_shortened_and_wrapped_words_fit(text: str, room: float) -> None:
    assert text_width(shortened(text, room, 2.5), 2.5) <= room
    lines = wrapped(text, room, 2.5)
    assert all(text_width(line, 2.5) <= room for line in lines)
    assert "".join(lines).replace(" ", "") == printable(text).replace(" ", "")


def test_a_shortened_name_keeps_its_last_number() -> None:
    short = shortened("reference mark number 17", 12.0, 2.5)
    assert short.endswith("17")
    assert "…" in short


def test_a_difference_of_nothing_has_no_sign() -> None:
    assert [signed(v) for v in (0.04, -0.04, 0.05001, -5.0)] == ["0.0", "0.0", "+0.1", "−5.0"]
