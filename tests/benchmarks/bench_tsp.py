"""How far from the best known tours: ``python -m tests.benchmarks.bench_tsp [points|clusters]``.

Reads TSPLIB files from a folder beside the project, or the one that CUTPATH_TSP_DATA names.
Times are of the processor, one core, from the points to the finished order.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from cutpath.path.order.stops import Work, travel
from cutpath.path.order.touring import best_route
from tests.benchmarks.order_data import (
    BEST_KNOWN,
    DATA,
    OPTIMA,
    points_of,
    tour_of_points,
    tours_of_clusters,
)

_POINT_ROUNDS = {
    "eil51": 4, "berlin52": 4, "st70": 4, "kroA100": 8, "pr299": 18, "pcb442": 18,
    "pcb1173": 35, "pcb3038": 50,
}  # fmt: skip
_CLUSTER_ROUNDS = (6, 70)


def solved(work: Work, rounds: int) -> tuple[float, float]:
    """Give the length found and the seconds it took."""
    began = time.process_time()
    visits = best_route(work, rounds)
    return travel(work, visits), time.process_time() - began


def points() -> None:
    """Print the table of point tours."""
    print("| TSPLIB | rounds | over the optimum | CPU s |\n|---|---|---|---|")
    for name, best in OPTIMA.items():
        rounds = _POINT_ROUNDS[name]
        found, seconds = solved(tour_of_points(points_of(name)), rounds)
        print(f"| {name} | {rounds} | {100 * (found / best - 1):.2f} % | {seconds:.1f} |")


def clusters() -> None:
    """Print the table of cluster tours, each for little and for much effort."""
    print("| GTSPLIB | " + " | ".join(f"{r} rounds | CPU s" for r in _CLUSTER_ROUNDS) + " |")
    print("|---" * (1 + 2 * len(_CLUSTER_ROUNDS)) + "|")
    gaps = []
    for name, best in BEST_KNOWN.items():
        works = tours_of_clusters(points_of(name))
        row, cells = [], []
        for rounds in _CLUSTER_ROUNDS:
            tries = [solved(work, max(1, rounds // len(works))) for work in works]
            gap = 100 * (min(found for found, _ in tries) / best - 1)
            row.append(gap)
            cells.append(f"{gap:.2f} % | {sum(seconds for _, seconds in tries):.1f}")
        gaps.append(row)
        print(f"| {len(works[0].stops) + 1}{name} | " + " | ".join(cells) + " |", flush=True)
    means, worst = np.mean(gaps, axis=0), np.max(gaps, axis=0)
    print("| mean | " + " | ".join(f"{value:.2f} % |" for value in means) + " |")
    print("| worst | " + " | ".join(f"{value:.2f} % |" for value in worst) + " |")


def main() -> None:
    """Print what was asked for, or both."""
    if not DATA.is_dir():
        sys.exit(f"there is no folder {DATA}; name one in CUTPATH_TSP_DATA")
    wanted = sys.argv[1:] or ["points", "clusters"]
    for each in wanted:
        {"points": points, "clusters": clusters}[each]()


if __name__ == "__main__":
    main()
