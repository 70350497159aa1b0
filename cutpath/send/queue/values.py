"""The frozen values of the queue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from cutpath.run_model import Run, Wish


class State(StrEnum):
    """How it stands with a job."""

    WAITING = "waiting"
    HELD = "held"
    SENDING = "sending"
    INTERRUPTED = "interrupted"
    DONE = "done"


class Kind(StrEnum):
    """What of a cutting job it is."""

    WHOLE = "whole"
    REST = "rest"
    RECUT = "recut"
    CHECK = "check"


class Doing(StrEnum):
    """What a lane's sender does."""

    NO_SENDER = "no sender"
    IDLE = "idle"
    ASKS = "asks"
    SENDING = "sending"
    PAUSED = "paused"


class Event(StrEnum):
    """What the journal tells."""

    ADDED = "added"
    MOVED = "moved"
    CHANGED = "changed"
    HELD = "held"
    RELEASED = "released"
    REMOVED = "removed"
    BEGUN = "begun"
    PAUSED = "paused"
    WENT_ON = "went on"
    FINISHED = "finished"
    INTERRUPTED = "interrupted"
    CONTINUED = "continued"
    TAKEN_AS_DONE = "taken as done"
    AGAIN = "again from the start"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Lane:
    """One machine's line of jobs. ``machine`` is the profile's name, or its file.

    ``asks``: the operator says before each job that the bed is ready. ``words`` is why the machine
    stands, by its own words, or why the sender ended.
    """

    number: int
    name: str
    machine: str
    asks: bool
    wish: Wish
    doing: Doing
    words: str


@dataclass(frozen=True, slots=True)
class Job:
    """One entry of a lane: a machine file, to be sent ``copies`` times, of which ``made`` are done.

    ``origin`` is the job that a rest or a re-cut comes from. Higher ``priority`` goes first.
    """

    number: int
    lane: str
    state: State
    kind: Kind
    origin: int | None
    file: str
    job: str
    cloth: str
    note: str
    pieces: int
    strokes: int
    size: int
    seconds: float
    copies: int
    made: int
    priority: int
    added: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is known of an interrupted sending, in numbers of strokes of its run.

    Strokes before ``first`` are done, those from ``last`` on not begun; between them nobody knows.
    ``words`` is what interrupted it, ``tool_up`` whether the machine was told to lift.
    """

    first: int
    last: int
    words: str
    tool_up: bool

    def done(self, run: Run) -> tuple[str, ...]:
        """Give the pieces of which every stroke is done."""
        later = {each.toolpath.piece for each in run.strokes[self.first :]}
        return tuple(piece for piece in run.pieces if piece not in later)

    def doubtful(self, run: Run) -> tuple[str, ...]:
        """Give the pieces that strokes in doubt serve."""
        found = [each.toolpath.piece for each in run.strokes[self.first : self.last]]
        return tuple(piece for piece in dict.fromkeys(found) if piece)

    def told(self, run: Run) -> str:
        """Give in words what is done, in doubt and not begun."""
        count = len(run.strokes)
        words = [f"{self.first} of {count} strokes are done"] if self.first else ["nothing is done"]
        if self.last > self.first:
            names = [run.strokes[number].words for number in (self.first, self.last - 1)]
            if self.last - self.first == 1:
                words.append(f"in doubt: {names[0]} (stroke {self.first + 1})")
            else:
                words.append(
                    f"in doubt: {names[0]} to {names[1]} (strokes {self.first + 1} to {self.last})"
                )
        if self.last < count:
            words.append(f"{count - self.last} were not begun")
        return "; ".join(words)


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a lane's job is: by the machine's time, of one copy.

    ``stroke`` counts from 0 and may be beyond the last one's while the ending is sent.
    """

    job: int
    copy: int
    sent: int
    confirmed: int
    stroke: int
    piece: str
    share: float
    seconds_left: float


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the journal: ``at`` in UTC, ISO 8601; ``facts`` by what happened."""

    number: int
    at: str
    lane: str
    job: int
    event: Event
    facts: Mapping[str, object]
