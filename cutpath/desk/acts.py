"""What the page may ask for: wishes to senders, the order of jobs, ways out of doubt.

Every act is a name and a number, looked up in a table here; nothing that is asked becomes a path, a
command or a query. Numbers are checked against the queue, pieces against the job.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from cutpath.desk.senders import Senders
from cutpath.errors import InputError, Source
from cutpath.resuming import cut_piece_again, resume_job
from cutpath.run_model import Wish
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.values import Job, Lane

_LONGEST_NOTE = 500


@dataclass(frozen=True)
class Desk:
    """What the acts work on."""

    queue: Queue
    senders: Senders


LaneAct = Callable[[Desk, Lane], None]
JobAct = Callable[[Desk, Job, Mapping[str, Any]], str | None]
"""Gives words for the operator, if there are any."""


def lane_numbered(desk: Desk, number: int) -> Lane:
    """Give one lane. Raises InputError where there is none of that number."""
    for lane in desk.queue.lanes():
        if lane.number == number:
            return lane
    raise InputError(f"there is no machine {number} in the queue")


def _wish(wish: Wish) -> LaneAct:
    return lambda desk, lane: desk.queue.wish(lane.name, wish)


def _move(desk: Desk, job: Job, said: Mapping[str, Any]) -> None:
    """Move before another job, to the first place, or the last."""
    before = said.get("before")
    if before is not None and (not isinstance(before, int) or isinstance(before, bool)):
        raise InputError("'before' is not a job's number", Source(key="before"))
    desk.queue.move(job.number, before, first=said.get("first") is True)


def _note(desk: Desk, job: Job, said: Mapping[str, Any]) -> None:
    words = said.get("words")
    if not isinstance(words, str) or len(words) > _LONGEST_NOTE:
        raise InputError(f"a note is a text of up to {_LONGEST_NOTE} letters", Source(key="words"))
    desk.queue.note(job.number, words)


def _rest(desk: Desk, job: Job, said: Mapping[str, Any]) -> str:
    """Go on with an interrupted job from a stroke, counted from 0."""
    stroke = said.get("stroke")
    if not isinstance(stroke, int) or isinstance(stroke, bool) or not 0 <= stroke <= job.strokes:
        raise InputError("'stroke' is no number of a stroke", Source(key="stroke"))
    return resume_job(desk.queue, job.number, stroke).look


def _recut(desk: Desk, job: Job, said: Mapping[str, Any]) -> None:
    """Cut pieces again, in the order in which the job has them."""
    named = said.get("pieces")
    if not isinstance(named, list) or not named:
        raise InputError("no piece is named", Source(key="pieces"), "Choose one or more.")
    pieces = [piece for piece in desk.queue.run(job.number).pieces if piece in named]
    for piece in reversed(pieces):  # each goes before what is there
        cut_piece_again(desk.queue, job.number, piece)


def _plain(act: Callable[[Queue, int], object]) -> JobAct:
    def done(desk: Desk, job: Job, _said: Mapping[str, Any]) -> None:
        act(desk.queue, job.number)

    return done


LANE_ACTS: Mapping[str, LaneAct] = {
    "go-on": _wish(Wish.GO_ON),
    "pause": _wish(Wish.PAUSE),
    "stop": _wish(Wish.STOP),
    "start": lambda desk, lane: desk.senders.start(lane),
    "end": lambda desk, lane: desk.senders.end(lane),
}
JOB_ACTS: Mapping[str, JobAct] = {
    "hold": _plain(Queue.hold),
    "release": _plain(Queue.release),
    "again": _plain(Queue.again),
    "done": _plain(Queue.take_as_done),
    "remove": _plain(Queue.remove),
    "move": _move,
    "note": _note,
    "rest": _rest,
    "recut": _recut,
}
