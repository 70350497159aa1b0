"""The code that lets one device in, sessions, and how much one address may ask."""

import re

from cutpath.desk.entry import Answer, OneTimeCode, Sessions
from cutpath.desk.limits import RateLimit


class Time:
    """A clock that stands until it is moved."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


def code(clock: Time) -> tuple[OneTimeCode, list[str]]:
    shown: list[str] = []
    made = OneTimeCode(shown.append, clock)
    made.renew()
    return made, shown


def test_a_code_lets_in_once_and_a_new_one_is_shown() -> None:
    made, shown = code(Time())
    assert re.fullmatch(r"\d{4} \d{4}", shown[0])
    first = shown[0]
    assert made.tried(first) is Answer.RIGHT
    assert len(shown) == 2
    assert made.tried(first) is Answer.WRONG
    assert made.tried(shown[1].replace(" ", "")) is Answer.RIGHT


def test_wrong_codes_cost_waiting_and_a_new_code() -> None:
    clock = Time()
    made, shown = code(clock)
    for _ in range(5):
        assert made.tried("not it") is Answer.WRONG
    assert len(shown) == 2, "after five wrong ones the old code is worth nothing"
    assert made.tried(shown[1]) is Answer.WAIT, "not even the right one, for a minute"
    clock.now = 59
    assert made.tried(shown[1]) is Answer.WAIT
    clock.now = 60
    assert made.tried(shown[0]) is Answer.WRONG
    assert made.tried(shown[1]) is Answer.RIGHT


def test_odd_codes_are_wrong_and_no_more() -> None:
    made, _ = code(Time())
    for odd in ("", "٣" * 8, "\x00", "9" * 100_000):
        assert made.tried(odd) in {Answer.WRONG, Answer.WAIT}


def test_a_token_belongs_to_one_session_of_one_desk() -> None:
    ours, others = Sessions(), Sessions()
    one, two = ours.begin(), ours.begin()
    assert ours.is_known(one)
    assert not others.is_known(one)
    assert ours.is_token(one, ours.token(one))
    assert not ours.is_token(two, ours.token(one))
    assert not ours.is_token(one, others.token(one))
    assert not ours.is_token(one, "")
    assert not ours.is_token(one, "é")


def test_only_so_many_sessions_are_kept() -> None:
    sessions = Sessions()
    first = sessions.begin()
    for _ in range(64):
        last = sessions.begin()
    assert not sessions.is_known(first)
    assert sessions.is_known(last)


def test_a_bucket_empties_and_fills_for_each_address() -> None:
    clock = Time()
    limit = RateLimit(2, 3, clock)
    assert [limit.allows("a") for _ in range(4)] == [True, True, True, False]
    assert limit.allows("b")
    clock.now = 1
    assert [limit.allows("a") for _ in range(3)] == [True, True, False]


def test_many_addresses_do_not_fill_the_memory() -> None:
    limit = RateLimit(1, 1, Time())
    for number in range(10_000):
        limit.allows(str(number))
    assert len(limit._buckets) <= 512
