"""What there is in the queue, for whoever looks."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Self

from cutpath.run_model import Run
from cutpath.send.queue.clocks import Clock
from cutpath.send.queue.journal import entry_of
from cutpath.send.queue.progress import Watcher
from cutpath.send.queue.reading import (
    doubt_of,
    job_numbered,
    jobs_in,
    lane_named,
    lanes_in,
    run_of,
)
from cutpath.send.queue.storage import Storage
from cutpath.send.queue.values import Doubt, Entry, Job, Lane, Progress


class QueueView:
    """One folder's queue, to look at. ``clock`` is given by tests."""

    def __init__(self, folder: Path, clock: Clock | None = None) -> None:
        self.folder = folder
        self.clock = clock or Clock()
        self.storage = Storage(folder)
        self._watcher = Watcher(self.storage, folder)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the files."""
        self.storage.close()

    def lanes(self) -> tuple[Lane, ...]:
        """Give all lanes, by name."""
        return lanes_in(self.storage, self.folder)

    def lane(self, name: str) -> Lane:
        """Give one lane. Raises InputError where there is none of that name."""
        return lane_named(self.lanes(), name)

    def jobs(self, lane: str | None = None) -> tuple[Job, ...]:
        """Give the jobs of one lane or all: at work, then to come in their order, then done."""
        return jobs_in(self.storage, None if lane is None else self.lane(lane).number)

    def job(self, number: int) -> Job:
        """Give one job. Raises InputError where there is none of that number."""
        return job_numbered(self.storage, number)

    def run(self, number: int) -> Run:
        """Give what a job sends."""
        return run_of(self.storage, number)

    def doubt(self, number: int) -> Doubt | None:
        """Give what is known of an interrupted job; None for any other."""
        return doubt_of(self.storage, number)

    def progress(self, lane: str | Lane) -> Progress | None:
        """Give how far the lane's job is; None where none is being sent.

        A lane that is known already need not be looked for again: quicker for many.
        """
        return self._watcher.progress(lane if isinstance(lane, Lane) else self.lane(lane))

    def journal(self, job: int | None = None) -> tuple[Entry, ...]:
        """Give the journal, or what it tells of one job, which may be gone from the queue."""
        where, values = ("WHERE job = ?", (job,)) if job is not None else ("", ())
        query = f"SELECT number, at, lane, job, event, facts FROM journal {where} ORDER BY number"
        return tuple(entry_of(row) for row in self.storage.rows(query, values))

    def changes(self) -> int:
        """Give a number that grows with every change, whoever makes it; cheap to ask for."""
        return self.storage.changes()
