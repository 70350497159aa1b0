"""A batch of 200 jobs by one process and by two; the aim is 1.8 times as fast.

Run on demand, on a quiet machine: ``python -m tests.benchmarks.bench_batch [jobs]``. Every job is
the invented bow shelter with a name of its own, with its work sheet.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from pathlib import Path

from cutpath.batching.pool import in_processes
from cutpath.batching.running import run_batch
from cutpath.batching.task import Wishes
from cutpath.settings.profile import load_profile

SHELTER = Path(__file__).parents[2] / "samples" / "bow-shelter"
COUNT = 200


def measure(jobs: Path, out: Path, workers: int) -> float:
    """Give the wall-clock seconds of the whole batch, processes started and ended."""
    wishes = Wishes("flatbed-hpgl", load_profile("flatbed-hpgl"))
    began = time.perf_counter()
    batch = run_batch(jobs, out, wishes, lambda tasks: in_processes(tasks, workers))
    assert batch.passed
    return time.perf_counter() - began


def main() -> None:
    """Print both times and their ratio."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        text = (SHELTER / "job.toml").read_text(encoding="utf-8")
        for number in range(count):
            job = place / "jobs" / f"shelter-{number:03d}"
            job.mkdir(parents=True)
            (job / "job.toml").write_text(text, encoding="utf-8")
            shutil.copy(SHELTER / "shelter.dxf", job)
        one = measure(place / "jobs", place / "one", 1)
        two = measure(place / "jobs", place / "two", 2)
        again = measure(place / "jobs", place / "two", 2)
    print("| jobs | one process | two | ratio | nothing to do |")
    print("|---|---|---|---|---|")
    print(f"| {count} | {one:.1f} s | {two:.1f} s | {one / two:.2f} | {again:.1f} s |")


if __name__ == "__main__":
    main()
