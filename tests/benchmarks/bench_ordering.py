"""How much travel is saved, how long it takes: ``python -m tests.benchmarks.bench_ordering``.

Outlines scattered over a strip, each to be entered at any of its 40 vertices, against the nearest
vertex next each time; and 20,000 marks and outlines with a rule that marks come first. Each row
runs in a process of its own, so that the memory told is that row's.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time

from cutpath.path.order.nearest_first import nearest_first
from cutpath.path.order.stops import travel
from cutpath.path.order.touring import best_route
from tests.benchmarks.order_data import marks_and_outlines, outlines

_ROWS = (
    *(("outlines", 60, 4, seed) for seed in range(3)),
    *(("outlines", 500, 1, seed) for seed in range(3)),
    *(("outlines", 5000, 2, seed) for seed in range(2)),
    ("marks and outlines", 20_000, 1, 0),
)


def row(kind: str, count: int, rounds: int, seed: int) -> str:
    """Measure one row."""
    work = outlines(count, seed) if kind == "outlines" else marks_and_outlines(count)
    greedy = travel(work, nearest_first(work))
    began = time.process_time()
    found = travel(work, best_route(work, rounds))
    seconds = time.process_time() - began
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    less = 100 * (1 - found / greedy)
    return f"| {kind} | {count} | {seed} | {rounds} | {less:.1f} % | {seconds:.2f} | {memory:.0f} |"


def main() -> None:
    """Print the table."""
    if len(sys.argv) == 5:
        kind, count, rounds, seed = sys.argv[1:]
        print(row(kind, int(count), int(rounds), int(seed)))
        return
    print("| what | how many | seed | rounds | less than nearest first | CPU s | MB |")
    print("|---|---|---|---|---|---|---|")
    for each in _ROWS:
        command = [sys.executable, "-m", "tests.benchmarks.bench_ordering", *map(str, each)]
        done = subprocess.run(command, check=True, capture_output=True, text=True)
        print(done.stdout.strip(), flush=True)


if __name__ == "__main__":
    main()
