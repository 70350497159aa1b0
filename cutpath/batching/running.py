"""A whole batch: found, compared with what is there already, prepared, delivered, reported."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from cutpath.batching.finding import FoundJob, drawing_of, find_jobs
from cutpath.batching.record import (
    Result,
    batch_facts,
    folders_of_others,
    keep,
    kept_result,
    key_of,
    write_batch,
)
from cutpath.batching.task import Failure, Outcome, Task, Wishes
from cutpath.errors import InputError, Source
from cutpath.laying import lay_file_of
from cutpath.planning import Progress, quiet

Runner = Callable[[Iterable[Task]], Generator[tuple[str, Outcome]]]
"""Prepares tasks in any order, here or elsewhere, and gives (name, outcome) of each."""


@dataclass(frozen=True, slots=True)
class Batch:
    """All results in the order of the jobs' names, and the facts that batch.json holds.

    ``left`` are drawings that no job speaks of; ``gone`` the folders of jobs that are no more.
    """

    results: tuple[Result, ...]
    left: tuple[str, ...]
    gone: tuple[str, ...]
    facts: dict[str, Any]

    @property
    def passed(self) -> bool:
        """Whether every job was prepared."""
        return all(result.failure is None for result in self.results)


def run_batch(
    folder: Path, out: Path, wishes: Wishes, run: Runner, progress: Progress = quiet
) -> Batch:
    """Prepare every job below ``folder`` into folders of ``out`` by ``run``.

    What is whole there and made from the same is left as it is. A job that fails is told in its
    result and costs no other. Raises InputError where there are no jobs.
    """
    found = find_jobs(folder, out, with_drawings=wishes.allowance is not None)
    if not found.jobs:
        raise InputError(
            "there are no jobs in this folder",
            Source(file=str(folder)),
            "A job is a job.toml, or another .toml file that names a drawing"
            + ("; add --allowance to cut drawings alone." if found.left else "."),
        )
    jobs = {job.name: job for job in found.jobs}
    results: dict[str, Result] = {}
    tasks: dict[str, tuple[Task, str]] = {}

    def to_do() -> Iterator[Task]:
        for job in found.jobs:
            task = _task_of(job, wishes)
            if isinstance(task, Failure):
                results[job.name] = Result(job.name, job.folder, {}, {}, task)
                continue
            key = key_of(task)
            kept = kept_result(out / job.folder, task, key)
            if kept is not None:
                results[job.name] = kept
                continue
            tasks[job.name] = (task, key)
            progress("prepared", len(results), len(jobs))
            yield task

    with closing(run(to_do())) as outcomes:
        for name, outcome in outcomes:
            task, key = tasks.pop(name)
            place = out / jobs[name].folder
            results[name] = keep(place, task, key, outcome, [jobs[name].source])
            progress("prepared", len(results), len(jobs))
    ordered = tuple(results[job.name] for job in found.jobs)
    facts = batch_facts(ordered, wishes, found.left)
    write_batch(out, facts)
    return Batch(
        ordered, found.left, folders_of_others(out, [job.folder for job in found.jobs]), facts
    )


def _task_of(job: FoundJob, wishes: Wishes) -> Task | Failure:
    """Read what a job is made from, once: what is compared is what is prepared."""
    try:
        source = (job.source.name, job.source.read_bytes())
        if job.source.suffix.lower() != ".toml":
            return Task(job.name, source, wishes)
        drawing = drawing_of(job.source)
        lay = lay_file_of(job.source)
        return Task(
            job.name,
            source,
            replace(wishes, allowance=None),  # a job says its allowances itself
            (drawing.name, drawing.read_bytes()) if drawing and drawing.is_file() else None,
            (lay.name, lay.read_bytes()) if lay.is_file() else None,
        )
    except OSError as error:
        words = f"this file cannot be read: {error.strerror or error}"
        return Failure(words, str(error.filename or job.source), "Check its permissions.")
