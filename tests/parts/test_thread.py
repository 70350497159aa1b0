"""Thread: bad input, and what must hold for every stitch."""

import pytest
from hypothesis import given, strategies as st

from cutpath.errors import InputError
from cutpath.parts.thread import (
    require_known_stitch,
    stitches,
    thread_for,
    thread_ratio,
    thread_words,
)
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.settings.part_tables.webbing import ThreadEntry

known = st.sampled_from(sorted(stitches()))
lengths = st.floats(0.5, 10.0)


@given(known, lengths, lengths, lengths)
def test_thicker_takes_more_and_longer_stitches_take_less(
    stitch: str, thickness: float, advance: float, throw: float
) -> None:
    ratio = thread_ratio(stitch, thickness, advance, throw)
    assert ratio > 2
    assert thread_ratio(stitch, thickness + 1, advance, throw) > ratio
    assert thread_ratio(stitch, thickness, advance + 1, throw) < ratio


def test_a_stitch_that_is_not_in_the_table_is_told_with_those_that_are() -> None:
    job = Job(JobFile.model_validate({"thread": {"stitch": "999"}}), None)
    with pytest.raises(InputError, match="'999'") as caught:
        require_known_stitch(job)
    assert "301 (lockstitch)" in caught.value.remedy
    with pytest.raises(ValueError, match="no formula"):
        thread_ratio("999", 1.0, 4.0, 5.0)
    with pytest.raises(ValueError, match="some length"):
        thread_ratio("301", 1.0, 0.0, 5.0)


def test_the_formula_is_told_in_figures() -> None:
    entry = ThreadEntry(stitch_length=4.0, ply=0.5)
    told, source = thread_words("301", 3, entry)
    assert told == "2 + 2 · 1.5 / 4"
    assert thread_for(1000.0, "301", 3, entry) == pytest.approx(2750)
    assert "textilecalculations.com" in source
    assert thread_words("304", 3, entry)[0] == "2 (√(4² + 5²) + 1.5) / 4"
