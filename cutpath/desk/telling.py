"""What the page is told: lanes and jobs as plain values, and how far each job is."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from typing import Any

from cutpath.errors import CutpathError
from cutpath.run_model import Run
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.values import Doing, Doubt, Job, Lane, State

_DONE_SHOWN = 12
"""Jobs of each lane that are done, the latest."""
_RUNS_KEPT = 32


class Teller:
    """Puts into plain values what stands in a queue; keeps the runs it needs again."""

    def __init__(self, queue: Queue) -> None:
        self.queue = queue
        self._runs: OrderedDict[int, Run] = OrderedDict()
        self._lock = threading.Lock()  # pictures are made in threads

    def run(self, number: int) -> Run:
        """Give what a job sends. Raises InputError where there is no such job."""
        with self._lock:
            known = self._runs.get(number)
            if known is None:
                known = self._runs[number] = self.queue.run(number)
                if len(self._runs) > _RUNS_KEPT:
                    self._runs.popitem(last=False)
            self._runs.move_to_end(number)
            return known

    def state(self, lanes: Sequence[Lane], faults: Mapping[str, str]) -> dict[str, Any]:
        """Give ``lanes`` and their jobs; ``faults`` are words about senders, by lane."""
        jobs = _not_too_many(self.queue.jobs())
        return {
            "lanes": [self._lane(lane, jobs, faults.get(lane.name, "")) for lane in lanes],
            "jobs": [self._job(job) for job in jobs],
        }

    def progress(self, lanes: Sequence[Lane]) -> dict[str, Any]:
        """Give how far the jobs of ``lanes`` are, by the lane's number."""
        out = {}
        for lane in lanes:
            at = self.queue.progress(lane)
            if at is not None:
                out[str(lane.number)] = {
                    "job": at.job,
                    "copy": at.copy,
                    "stroke": at.stroke,
                    "share": round(at.share, 4),
                    "left": round(at.seconds_left),
                }
        return out

    def _lane(self, lane: Lane, jobs: Sequence[Job], fault: str) -> dict[str, Any]:
        cautions: tuple[str, ...] = ()
        if lane.doing is Doing.ASKS:
            cautions = self._cautions(lane, jobs)
        return {
            "number": lane.number,
            "name": lane.name,
            "machine": lane.machine.replace("\\", "/").rsplit("/", 1)[-1].removesuffix(".toml"),
            "doing": lane.doing.value,
            "wish": lane.wish.value,
            "words": lane.words or fault,
            "cautions": cautions,
        }

    def _cautions(self, lane: Lane, jobs: Sequence[Job]) -> tuple[str, ...]:
        job = next((each for each in jobs if each.lane == lane.name), None)
        try:
            return self.run(job.number).profile.cautions if job is not None else ()
        except CutpathError:
            return ()  # it went away meanwhile

    def _job(self, job: Job) -> dict[str, Any]:
        doubt = self.queue.doubt(job.number) if job.state is State.INTERRUPTED else None
        return {
            "number": job.number,
            "lane": job.lane,
            "state": job.state.value,
            "kind": job.kind.value,
            "file": job.file,
            "job": job.job,
            "cloth": job.cloth,
            "note": job.note,
            "pieces": job.pieces,
            "strokes": job.strokes,
            "seconds": round(job.seconds),
            "copies": job.copies,
            "made": job.made,
            "doubt": self._doubt(job.number, doubt) if doubt is not None else None,
        }

    def _doubt(self, number: int, doubt: Doubt) -> dict[str, Any]:
        told = {"first": doubt.first, "last": doubt.last, "why": doubt.words}
        try:
            run = self.run(number)
        except CutpathError as error:
            return {**told, "told": str(error), "doubtful": ()}
        return {**told, "told": doubt.told(run), "doubtful": doubt.doubtful(run)}


def _not_too_many(jobs: Sequence[Job]) -> list[Job]:
    """Leave away all but the latest jobs that are done."""
    shown: dict[str, int] = {}
    kept = []
    for job in reversed(jobs):
        if job.state is State.DONE:
            shown[job.lane] = shown.get(job.lane, 0) + 1
            if shown[job.lane] > _DONE_SHOWN:
                continue
        kept.append(job)
    kept.reverse()
    return kept
