"""Interrupted jobs of the queue gone on with, and pieces cut again: each as a new, proved job.

Part of the pipeline: it joins the queue with the stages that write and read machine files.
"""

from __future__ import annotations

from dataclasses import dataclass

from cutpath.errors import InputError
from cutpath.remaining import piece_of, rest_of
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.values import Job, State
from cutpath.settings.profile import Way


@dataclass(frozen=True, slots=True)
class Resumed:
    """The job that goes on, and in words what the operator must look at; empty where nothing."""

    job: Job
    look: str


def resume_job(queue: Queue, number: int, from_stroke: int | None = None) -> Resumed:
    """Put what is left of an interrupted job first in its lane, as a new, proved job.

    It goes from ``from_stroke`` (counted from 0), or from the first stroke that is in doubt. A
    check mark comes first; the sender then waits until the operator has looked. Where the way is a
    folder nobody can wait within a file: the mark is a job of its own, and the rest is held.

    Raises InputError for a job that is not interrupted or has nothing left, MachineError and
    FitError as writing and proving do.
    """
    queue.recover()
    job = queue.job(number)
    doubt = queue.doubt(number)
    if job.state is not State.INTERRUPTED or doubt is None:
        raise InputError(
            f"job {number} ({job.file}) is {job.state.value}, not interrupted",
            remedy="There is nothing to go on with. Add it again to cut it once more.",
        )
    start = doubt.first if from_stroke is None else from_stroke
    rest = rest_of(queue.run(number), start, doubt.last)
    is_folder = queue.profile(job.lane).link.way is Way.FOLDER
    check = rest.check if is_folder else None
    return Resumed(queue.go_on_with(number, rest.run, check), rest.words)


def cut_piece_again(queue: Queue, number: int, piece: str) -> Job:
    """Put one piece of a job first in its lane, as a new, proved job, for fresh cloth laid alike.

    Raises InputError for a piece that the job has not, MachineError and FitError as writing and
    proving do.
    """
    return queue.cut_again(number, piece_of(queue.run(number), piece))
