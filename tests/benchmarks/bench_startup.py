"""How long ``cutpath --help`` takes beside ``python -c "import click"``, best of several each.

Run on demand: ``python -m tests.benchmarks.bench_startup``.
"""

from __future__ import annotations

import subprocess
import sys
import time

_RUNS = 7


def best(command: list[str]) -> float:
    """Give the shortest of several runs, in seconds."""
    times = []
    for _ in range(_RUNS):
        began = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(time.perf_counter() - began)
    return min(times)


def main() -> None:
    """Print both times and their ratio."""
    click = best([sys.executable, "-c", "import click"])
    help_ = best([sys.executable, "-m", "cutpath", "--help"])
    print("| import click | cutpath --help | ratio |")
    print("|---|---|---|")
    print(f"| {click * 1000:.0f} ms | {help_ * 1000:.0f} ms | {help_ / click:.2f} |")


if __name__ == "__main__":
    main()
