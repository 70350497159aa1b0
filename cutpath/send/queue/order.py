"""Places of jobs in their lane: higher priority first, then lower place.

All functions work within the caller's transaction.
"""

from __future__ import annotations

import sqlite3

_TO_COME = "state IN ('waiting', 'held')"


def last_place(base: sqlite3.Connection, lane: int) -> int:
    """Give the place after all others of the lane."""
    found = base.execute("SELECT MAX(place) FROM jobs WHERE lane = ?", (lane,)).fetchone()[0]
    return 0 if found is None else int(found) + 1


def place_before(base: sqlite3.Connection, job: int, other: int) -> None:
    """Put ``job`` before ``other`` of the same lane, with its priority."""
    lane, place, priority = base.execute(
        "SELECT lane, place, priority FROM jobs WHERE number = ?", (other,)
    ).fetchone()
    base.execute("UPDATE jobs SET place = place + 1 WHERE lane = ? AND place >= ?", (lane, place))
    _put(base, job, place, priority)


def place_first(base: sqlite3.Connection, job: int) -> None:
    """Put ``job`` before all that are to come in its lane."""
    lane, own = _of(base, job)
    highest, least = base.execute(
        f"SELECT MAX(priority), MIN(place) FROM jobs WHERE lane = ? AND {_TO_COME}", (lane,)
    ).fetchone()
    _put(base, job, least - 1, max(own, highest))


def place_last(base: sqlite3.Connection, job: int) -> None:
    """Put ``job`` after all that are to come in its lane."""
    lane, own = _of(base, job)
    lowest = base.execute(
        f"SELECT MIN(priority) FROM jobs WHERE lane = ? AND {_TO_COME}", (lane,)
    ).fetchone()[0]
    _put(base, job, last_place(base, lane), min(own, lowest))


def _of(base: sqlite3.Connection, job: int) -> tuple[int, int]:
    lane, priority = base.execute(
        "SELECT lane, priority FROM jobs WHERE number = ?", (job,)
    ).fetchone()
    return int(lane), int(priority)


def _put(base: sqlite3.Connection, job: int, place: int, priority: int) -> None:
    base.execute("UPDATE jobs SET place = ?, priority = ? WHERE number = ?", (place, priority, job))
