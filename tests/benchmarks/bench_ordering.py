"""How much travel is saved, and how the time grows: ``python tests/benchmarks/bench_ordering.py``.

Open strokes of 20 mm, scattered over a bed. Compared with the nearest stroke next each time, and
with 0.7124 √(n A), what the best tour through n points in an area A comes to for large n
(D. S. Johnson, L. A. McGeoch and E. E. Rothberg, "Asymptotic experimental analysis for the
Held-Karp traveling salesman bound", 1996).
"""

from __future__ import annotations

import time

import numpy as np

from cutpath.path.nearest_first import nearest_first
from cutpath.path.stops import Stop, travel
from cutpath.path.touring import shortest_routes

_BED = 3000.0


def scattered(count: int) -> list[Stop]:
    """Give ``count`` open strokes, the same each time."""
    rng = np.random.default_rng(1)
    starts = rng.uniform(0, _BED, (count, 2))
    angles = rng.uniform(0, 2 * np.pi, count)
    ends = starts + 20 * np.column_stack([np.cos(angles), np.sin(angles)])
    return [Stop(np.array([a, b]), np.array([b, a])) for a, b in zip(starts, ends, strict=True)]


def main() -> None:
    """Print the table."""
    start = np.zeros(2)
    print(
        "| strokes | travel mm | ÷ nearest next | ÷ 0.7124 √(n A) | CPU seconds | µs ÷ (n log₂ n) |"
    )
    print("|---|---|---|---|---|---|")
    for count in (100, 500, 1000, 2000, 5000, 10_000):
        stops = scattered(count)
        greedy = travel(stops, nearest_first(stops, start), start)
        began = time.process_time()
        (route,) = shortest_routes([stops], start)
        seconds = time.process_time() - began
        found = travel(stops, route, start)
        bound = 0.7124 * _BED * count**0.5
        growth = 1e6 * seconds / (count * np.log2(count))
        print(
            f"| {count} | {found:.0f} | {found / greedy:.3f} | {found / bound:.3f} "
            f"| {seconds:.2f} | {growth:.1f} |"
        )


if __name__ == "__main__":
    main()
