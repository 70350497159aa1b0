"""Dashes along a line."""

import pytest
from hypothesis import given, strategies as st

from cutpath.geometry.chain import arc, line
from cutpath.geometry.dashes import dashed
from cutpath.geometry.measure import length


@given(st.floats(1, 500), st.floats(0.5, 9), st.floats(0.5, 9))
def test_the_drawn_share_is_that_of_the_pattern(whole: float, dash: float, gap: float) -> None:
    parts = dashed(line((0, 0), (whole, 0)), (dash, gap))
    turns, rest = divmod(whole, dash + gap)
    assert sum(length(part) for part in parts) == pytest.approx(
        turns * dash + min(rest, dash), abs=0.06
    )
    assert parts[0].first.tolist() == [0, 0]


def test_dashes_of_an_arc_are_arcs_and_lie_on_it() -> None:
    parts = dashed(arc((0, 0), 100, 0, 3.0), (10.0, 5.0))
    assert len(parts) == 20
    assert all(part.is_arc.all() for part in parts)
    assert all(length(part) == pytest.approx(10.0) for part in parts)


def test_no_pattern_draws_all_and_a_bad_one_is_refused() -> None:
    assert len(dashed(line((0, 0), (5, 0)), ())) == 1
    with pytest.raises(ValueError, match="negative"):
        dashed(line((0, 0), (5, 0)), (1.0, -1.0))
