"""A batch of 200 jobs by one process and by two; the aim is 1.8 times as fast.

Run on demand, on a quiet machine: ``python -m tests.benchmarks.bench_batch [jobs]``. Every job is
the invented bow shelter with a name of its own, with its work sheet. Beside other work the wall's
clock says little: then the processor's time of the parent, who alone reads and writes files, and
of all children tells what two cores of its own would give at best.
"""

from __future__ import annotations

import resource
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


def processor_seconds(who: int) -> float:
    """Give the processor's time of this process or of its children that ended."""
    used = resource.getrusage(who)
    return used.ru_utime + used.ru_stime


def measure(jobs: Path, out: Path, workers: int) -> tuple[float, float, float]:
    """Give the wall's, the parent's and the children's seconds of the whole batch."""
    parent = processor_seconds(resource.RUSAGE_SELF)
    children = processor_seconds(resource.RUSAGE_CHILDREN)
    wishes = Wishes("flatbed-hpgl", load_profile("flatbed-hpgl"))
    began = time.perf_counter()
    batch = run_batch(jobs, out, wishes, lambda tasks: in_processes(tasks, workers))
    assert batch.passed
    return (
        time.perf_counter() - began,
        processor_seconds(resource.RUSAGE_SELF) - parent,
        processor_seconds(resource.RUSAGE_CHILDREN) - children,
    )


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
    print("| jobs | processes | wall | parent's CPU | children's CPU |")
    print("|---|---|---|---|---|")
    for workers, (wall, parent, children) in ((1, one), (2, two), ("nothing to do", again)):
        print(f"| {count} | {workers} | {wall:.1f} s | {parent:.2f} s | {children:.1f} s |")
    print(f"Two are {one[0] / two[0]:.2f} times as fast by the wall's clock.")


if __name__ == "__main__":
    main()
