"""Real times against the clock: made-up machines whose true rates are known."""

from collections.abc import Iterator

import pytest

from cutpath.send.queue.journal import as_csv, sendings_told
from cutpath.send.queue.times import times_told
from cutpath.send.queue.values import Entry, Event

JOBS = [(600.0, 40), (300.0, 200), (900.0, 20), (450.0, 300), (1200.0, 90), (200.0, 10)]


def entries(own: float, per_stroke: float, jobs: list[tuple[float, int]]) -> Iterator[Entry]:
    """The journal of a machine that takes own × the time told, and so much more a stroke."""
    for number, (told, strokes) in enumerate(jobs):
        real = own * told + per_stroke * strokes
        begun = {"sending": number, "estimated_s": told, "strokes": strokes}
        yield Entry(2 * number, "2026-01-01T08:00:00Z", "table", number, Event.BEGUN, begun)
        facts = {"real_s": real, "strokes": strokes}
        yield Entry(2 * number + 1, "2026-01-01T09:00:00Z", "table", number, Event.FINISHED, facts)


def test_slow_ways_and_slow_lifts_are_told_apart() -> None:
    (told,) = times_told(entries(1.25, 0.4, JOBS))
    assert told.own == pytest.approx(1.25)
    assert told.per_stroke == pytest.approx(0.4)
    assert "0.80 × what the profile says" in told.words
    assert "0.40 s more: lift_time and lower_time" in told.words


def test_a_profile_that_agrees_is_left_alone() -> None:
    (told,) = times_told(entries(1.02, 0.0, JOBS))
    assert "agrees" in told.words


def test_few_jobs_suggest_nothing_and_like_jobs_only_one_factor() -> None:
    (few,) = times_told(entries(2.0, 0.0, JOBS[:2]))
    assert "From 3 jobs on" in few.words
    alike = [(100.0 * n, 10 * n) for n in range(1, 7)]
    (told,) = times_told(entries(1.0, 2.0, alike))
    assert told.own is None
    assert told.factor == pytest.approx(1.2)
    assert "0.83 × what the profile says" in told.words


def test_times_of_ways_that_tell_nothing_do_not_count() -> None:
    begun = Entry(1, "a", "table", 1, Event.BEGUN, {"estimated_s": 60.0, "strokes": 3})
    sent = Entry(2, "b", "table", 1, Event.FINISHED, {"real_s": None, "sent_s": 0.1, "strokes": 3})
    assert times_told([begun, sent]) == []


def test_a_note_cannot_become_a_formula_of_a_table() -> None:
    begun = Entry(1, "a", "table", 1, Event.BEGUN, {"file": "x.plt"})
    note = Entry(2, "b", "table", 1, Event.NOTE, {"words": "=HYPERLINK(1)"})
    assert sendings_told([begun, note])[0]["notes"] == "=HYPERLINK(1)"
    assert "'=HYPERLINK(1)" in as_csv([begun, note])
