"""The account of one sending: what may have left is durable before it leaves.

The window in the database runs ahead of the bytes, by some seconds of the machine's time, and waits
for the disk; the mark follows each block and does not. So a killed sender is known to the stroke,
and a loss of power to the window.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from pathlib import Path

from cutpath.run_model import Run
from cutpath.send.queue.clocks import Clock
from cutpath.send.queue.journal import Happening, write_down
from cutpath.send.queue.mark import Mark, MarkFile
from cutpath.send.queue.reading import mark_path
from cutpath.send.queue.recovery import interrupt
from cutpath.send.queue.storage import Storage
from cutpath.send.queue.values import Doubt, Event, Job
from cutpath.settings.profile import Flow, Link

_AHEAD = 10.0
"""Seconds of the machine's time that the window covers beyond the stroke that is sent."""


class Account:
    """One sending of one copy, from its begin to its end."""

    def __init__(self, storage: Storage, folder: Path, clock: Clock, job: Job, run: Run) -> None:
        self.storage, self.clock, self.job, self.run = storage, clock, job, run
        self.window = 0
        self.paused = 0.0
        self._pause_began: float | None = None
        self._lane = int(storage.rows("SELECT number FROM lanes WHERE name = ?", (job.lane,))[0][0])
        self._mark = MarkFile(mark_path(folder, self._lane))
        self._may = self._sent = self._confirmed = 0
        self.number, self._began = 0, 0.0

    def begin(self, link: Link, unseen: int) -> bool:
        """Take the job as being sent; False where it does not wait any more.

        ``unseen`` bytes may be on the way to the machine without anybody here knowing.
        """
        copy, at, run = self.job.made + 1, self.clock.now(), self.run
        answers = int(link.flow is not Flow.PLAIN)
        with self.storage.writing() as base:
            taken = base.execute(
                "UPDATE jobs SET state = 'sending' WHERE number = ? AND state = 'waiting'",
                (self.job.number,),
            )
            if not taken.rowcount:
                return False
            number = base.execute(
                "INSERT INTO sendings(job, copy, began, boot, buffer, answers) "
                "VALUES (?, ?, ?, ?, ?, ?)",
                (self.job.number, copy, at, self.clock.boot(), link.buffer + unseen, answers),
            ).lastrowid
            assert number is not None
            facts = {
                "sending": number,
                "kind": self.job.kind.value,
                "origin": self.job.origin,
                "file": run.name,
                "of_job": run.job,
                "cloth": run.cloth,
                "copy": copy,
                "copies": self.job.copies,
                "machine": run.profile.name,
                "profile_digest": run.profile.digest(),
                "sha256": run.sha256,
                "pieces": list(run.pieces),
                "estimated_s": run.seconds,
                "strokes": len(run.strokes),
            }
            self._tell(base, at, Event.BEGUN, facts)
        self.number, self._began = number, self.clock.monotonic()
        self._set_mark()
        return True

    # The three calls of a watch

    def about_to_send(self, first: int, last: int) -> None:
        """Keep that bytes up to ``last`` may leave, before they do."""
        if last > self.window:
            self._widen(last)
        self._may = max(self._may, last)
        self._set_mark()

    def sent(self, upto: int) -> None:
        """Keep that all bytes before ``upto`` left."""
        self._sent = upto
        self._set_mark()

    def confirmed(self, upto: int) -> None:
        """Keep that the machine has all bytes before ``upto``."""
        self._confirmed = upto
        self._set_mark()

    @property
    def place(self) -> int:
        """Give how many bytes left."""
        return self._sent

    @property
    def may(self) -> int:
        """Give how many bytes may have left."""
        return self._may

    # What becomes of it

    def pause(self, *, begins: bool) -> None:
        """Write down that a pause begins or is over."""
        at = self.clock.now()
        if begins:
            self._pause_began = self.clock.monotonic()
        elif self._pause_began is not None:
            self.paused += self.clock.monotonic() - self._pause_began
            self._pause_began = None
        with self.storage.writing() as base:
            base.execute(
                "UPDATE sendings SET paused = ? WHERE number = ?", (self.paused, self.number)
            )
            self._tell(base, at, Event.PAUSED if begins else Event.WENT_ON, {})

    def finish(self, *, is_done: bool) -> None:
        """Count the copy as made. Without ``is_done`` only the sending's time is known."""
        at = self.clock.now()
        real = self.clock.monotonic() - self._began - self.paused
        count = len(self.run.strokes)
        with self.storage.writing() as base:
            base.execute(
                "UPDATE sendings SET ended = ?, first = ?, last = ?, tool_up = 1 WHERE number = ?",
                (at, count, count, self.number),
            )
            base.execute(
                "UPDATE jobs SET made = made + 1, state = CASE made + 1 WHEN copies THEN 'done' "
                "ELSE 'waiting' END WHERE number = ?",
                (self.job.number,),
            )
            facts = {
                "real_s": round(real, 1) if is_done else None,
                "sent_s": round(real, 1),
                "paused_s": round(self.paused, 1),
                "strokes": count,
                "strokes_done": count,
                "strokes_in_doubt": 0,
            }
            self._tell(base, at, Event.FINISHED, facts)

    def interrupt(self, doubt: Doubt) -> None:
        """Leave the job to the operator, with what is known of it."""
        with self.storage.writing() as base:
            interrupt(base, self.clock.now(), self.number, doubt)

    def give_back(self, words: str) -> None:
        """Let the job wait again: not one byte of it left."""
        at = self.clock.now()
        with self.storage.writing() as base:
            base.execute("DELETE FROM sendings WHERE number = ?", (self.number,))
            base.execute("UPDATE jobs SET state = 'waiting' WHERE number = ?", (self.job.number,))
            self._tell(base, at, Event.INTERRUPTED, {"fault": words, "strokes_done": 0})

    def close(self) -> None:
        """Let go of the mark."""
        self._mark.close()

    def _widen(self, last: int) -> None:
        """Commit a window that covers ``last`` and the strokes of the next seconds."""
        run = self.run
        until = run.seconds_at(last) + _AHEAD
        window = last
        for stroke in run.strokes[max(0, run.stroke_at(last)) :]:
            if stroke.seconds > until:
                break
            window = max(window, stroke.last)
        else:
            window = len(run.data)
        with self.storage.writing() as base:
            base.execute(
                "UPDATE sendings SET may = ?, known = ? WHERE number = ?",
                (window, self._confirmed, self.number),
            )
        self.window = window

    def _set_mark(self) -> None:
        self._mark.write(Mark(self.number, self._may, self._sent, self._confirmed))

    def _tell(
        self, base: sqlite3.Connection, at: str, event: Event, facts: Mapping[str, object]
    ) -> None:
        write_down(base, Happening(at, self.job.lane, self.job.number, event, facts))
