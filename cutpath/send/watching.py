"""What the sender tells whoever watches, and what it asks; and how a job ended."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from cutpath.run_model import Run, Wish
from cutpath.send.trouble import MachineFault


class Watch(Protocol):
    """Who keeps account of a job while it is sent. Bytes count from the file's first."""

    @property
    def at_once(self) -> int:
        """How many bytes may be announced together beyond the end of a stroke; 0 for none."""

    def about_to_send(self, first: int, last: int) -> None:
        """Bytes [first, last) may leave after this returns, and none of them before."""

    def sent(self, upto: int) -> None:
        """Every byte before ``upto`` left this computer's program."""

    def confirmed(self, upto: int) -> None:
        """Every byte before ``upto`` is known to be taken by the machine (not: done)."""

    def standing(self, words: str) -> None:
        """Hear why the machine stands by its own words; no words when it goes on."""

    def wish(self) -> Wish:
        """Tell what the operator wants; asked again and again."""


class Unwatched:
    """A watch that wants nothing but that it goes on: for tests, and to build on."""

    at_once = 65_536

    def about_to_send(self, first: int, last: int) -> None:
        """Keep no account."""

    def sent(self, upto: int) -> None:
        """Keep no account."""

    def confirmed(self, upto: int) -> None:
        """Keep no account."""

    def standing(self, words: str) -> None:
        """Keep no account."""

    def wish(self) -> Wish:
        """Go on."""
        return Wish.GO_ON


class End(StrEnum):
    """How sending ended."""

    FINISHED = "finished"
    PAUSED = "paused"
    STOPPED = "stopped"
    FAULTED = "faulted"


@dataclass(frozen=True, slots=True)
class Ended:
    """Where a job ended: of its bytes, how many were ``sent``, ``confirmed`` (taken), ``done``.

    ``is_done`` tells that the machine itself said it did all that it was sent; plain links never
    know. ``is_cut_short`` tells that it may not do all of it: a fault came between, or it was made
    to forget what it held. ``tool_up`` tells that it was told to lift, and nothing speaks against
    that it does.
    """

    how: End
    sent: int
    confirmed: int
    done: int
    is_done: bool
    is_cut_short: bool
    tool_up: bool
    fault: MachineFault | None = None

    def in_doubt(self, run: Run) -> range:
        """Give the numbers of the strokes that may be done, partly or not; empty when all is known.

        Those before are done, those after are not begun. A stop within a stroke leaves that one.
        """
        if self.is_done and self.sent == len(run.data):
            return range(0)
        first = self.done if self.is_cut_short else self.sent
        if self.fault is not None and self.fault.first is not None:
            first = min(first, self.fault.first)
        count = len(run.strokes)
        begin = min(max(0, run.stroke_at(first)), count)
        end = min(run.stroke_at(self.sent - 1) + 1, count) if self.sent else 0
        return range(begin, max(begin, end))

    def words(self, run: Run) -> str:
        """Give what was cut and what was not."""
        if self.how is End.FINISHED:
            return "everything was sent"
        doubtful = self.in_doubt(run)
        count = len(run.strokes)
        told = []
        before = doubtful.start if doubtful else self._begun(run)
        if before:
            told.append(f"{before} of {count} strokes are done")
        if doubtful:
            word = "in doubt" if self.is_cut_short else "ended in the middle"
            told.append(f"{word}: {_named(run, doubtful)}")
        after = count - (doubtful.stop if doubtful else before)
        if after:
            told.append(f"{after} strokes were not begun")
        return "; ".join(told) or "nothing was begun"

    def _begun(self, run: Run) -> int:
        return min(run.stroke_at(self.sent - 1) + 1, len(run.strokes)) if self.sent else 0


def _named(run: Run, numbers: range) -> str:
    names = [run.strokes[number].words for number in (numbers[0], numbers[-1])]
    if len(numbers) == 1:
        return f"{names[0]} (stroke {numbers[0] + 1})"
    return f"{names[0]} to {names[1]} (strokes {numbers[0] + 1} to {numbers[-1] + 1})"
