"""How far a lane's job is, by its mark and the machine's estimated time."""

from __future__ import annotations

from pathlib import Path

from cutpath.run_model import Run
from cutpath.send.queue.mark import read_mark
from cutpath.send.queue.reading import mark_path, run_of
from cutpath.send.queue.storage import Storage
from cutpath.send.queue.values import Lane, Progress


class Watcher:
    """Looks at lanes again and again; keeps the run of each lane's job in memory."""

    def __init__(self, storage: Storage, folder: Path) -> None:
        self.storage = storage
        self.folder = folder
        self._runs: dict[int, tuple[int, Run]] = {}

    def progress(self, lane: Lane) -> Progress | None:
        """Give how far the lane's job is; None where none is being sent."""
        found = self.storage.rows(
            "SELECT sendings.number, sendings.job, copy FROM sendings "
            "JOIN jobs ON jobs.number = sendings.job "
            "WHERE lane = ? AND state = 'sending' AND ended IS NULL",
            (lane.number,),
        )
        if not found:
            self._runs.pop(lane.number, None)
            return None
        sending, job, copy = found[0]
        mark = read_mark(mark_path(self.folder, lane.number))
        sent, confirmed = 0, 0
        if mark is not None and mark.sending == sending:
            sent, confirmed = mark.sent, mark.confirmed
        run = self._run(lane.number, job)
        stroke = run.stroke_at(sent)
        at = min(max(stroke, 0), len(run.strokes) - 1)
        seconds = run.seconds_at(sent)
        return Progress(
            job=job,
            copy=copy,
            sent=sent,
            confirmed=confirmed,
            stroke=stroke,
            piece=run.strokes[at].toolpath.piece if run.strokes else "",
            share=seconds / run.seconds if run.seconds else 1.0,
            seconds_left=run.seconds - seconds,
        )

    def _run(self, lane: int, job: int) -> Run:
        known = self._runs.get(lane)
        if known is None or known[0] != job:
            known = (job, run_of(self.storage, job))
            self._runs[lane] = known
        return known[1]
