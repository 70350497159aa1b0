"""What is known of a job whose sender is gone: killed, or the computer lost its power.

A killed sender's mark is whole, and the machine works on what reaches it: strokes before the byte
that it confirmed are done, those after the last byte that may have left are not begun. A plain link
confirms nothing, but loses nothing either: the system hands over what a dead process wrote. Where
a machine answers, its unread answers make the system drop what still waited to go.
After another start of the computer the mark may be old, the way's own buffers are lost and the
machine may have lost its power too: then the window in the database is the end of what may have
left, and the machine's buffer is taken off what it confirmed.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from cutpath.run_model import Run
from cutpath.send.queue.clocks import Clock, is_same_boot
from cutpath.send.queue.journal import Happening, seconds_between, write_down
from cutpath.send.queue.lock import if_free
from cutpath.send.queue.mark import Mark, read_mark
from cutpath.send.queue.reading import lock_path, mark_path, run_of
from cutpath.send.queue.storage import Storage
from cutpath.send.queue.values import Doubt, Event

_KILLED = "the sender ended without a word; what reached the machine before, it works off"
_HANDED_OVER = (
    "the sender ended without a word; this machine does not tell what it has done: what is counted "
    "as done was handed over to it, and it may still be at work on that"
)
_POWER = "the computer was started anew while the job was being sent"


@dataclass(frozen=True, slots=True)
class Open:
    """A sending that nobody ended."""

    number: int
    job: int
    lane: int
    boot: str
    buffer: int
    answers: int
    may: int
    known: int


def recover(storage: Storage, folder: Path, clock: Clock) -> list[int]:
    """Give the jobs of every lane whose sender is gone; they are interrupted now."""
    lanes = storage.rows("SELECT DISTINCT lane FROM jobs WHERE state = 'sending'")
    found = []
    for (lane,) in lanes:
        with if_free(lock_path(folder, lane)) as is_free:
            if is_free:
                found += recover_lane(storage, folder, clock, lane)
    return found


def recover_lane(storage: Storage, folder: Path, clock: Clock, lane: int) -> list[int]:
    """Do so for one lane; the caller holds its lock."""
    rows = storage.rows(
        "SELECT sendings.number, sendings.job, lane, boot, buffer, answers, may, known "
        "FROM sendings "
        "JOIN jobs ON jobs.number = sendings.job "
        "WHERE lane = ? AND state = 'sending' AND sendings.ended IS NULL",
        (lane,),
    )
    for row in rows:
        open_ = Open(*row)
        doubt = doubt_about(
            open_, read_mark(mark_path(folder, lane)), run_of(storage, open_.job), clock.boot()
        )
        with storage.writing() as base:
            interrupt(base, clock.now(), open_.number, doubt)
    return [row[1] for row in rows]


def doubt_about(open_: Open, mark: Mark | None, run: Run, boot: str) -> Doubt:
    """Give what is known of an open sending, by its mark and by whether the computer still runs."""
    mine = mark if mark is not None and mark.sending == open_.number else None
    killed = _KILLED if open_.answers else _HANDED_OVER
    if mine is not None and is_same_boot(open_.boot, boot):
        known = mine.confirmed if open_.answers else mine.sent
        return between(run, known, min(mine.may, len(run.data)), killed)
    words = killed if is_same_boot(open_.boot, boot) else _POWER
    known = max(open_.known, mine.confirmed if mine is not None else 0) - open_.buffer
    return between(run, min(max(0, known), open_.may), min(open_.may, len(run.data)), words)


def between(run: Run, known: int, may: int, words: str, *, tool_up: bool = False) -> Doubt:
    """Give the doubt where the bytes before ``known`` are done, those from ``may`` on unsent."""
    first = max(0, run.stroke_at(known))
    last = min(run.stroke_at(max(may, known) - 1) + 1, len(run.strokes))
    return Doubt(first, max(first, last), words, tool_up)


def interrupt(base: sqlite3.Connection, at: str, sending: int, doubt: Doubt) -> None:
    """End a sending as interrupted, within the caller's transaction."""
    job, lane, began, paused, strokes = base.execute(
        "SELECT sendings.job, name, began, paused, strokes FROM sendings "
        "JOIN jobs ON jobs.number = sendings.job "
        "JOIN lanes ON lanes.number = lane WHERE sendings.number = ?",
        (sending,),
    ).fetchone()
    base.execute(
        "UPDATE sendings SET ended = ?, first = ?, last = ?, words = ?, tool_up = ? "
        "WHERE number = ?",
        (at, doubt.first, doubt.last, doubt.words, int(doubt.tool_up), sending),
    )
    base.execute("UPDATE jobs SET state = 'interrupted' WHERE number = ?", (job,))
    facts = {
        "real_s": round(seconds_between(began, at) - paused, 1),
        "paused_s": round(paused, 1),
        "strokes": strokes,
        "strokes_done": doubt.first,
        "strokes_in_doubt": doubt.last - doubt.first,
        "fault": doubt.words,
    }
    write_down(base, Happening(at, lane, job, Event.INTERRUPTED, facts))
