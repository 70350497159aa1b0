"""How well and how fast pieces are laid: run with ``python -m tests.benchmarks.bench_lay``.

    … bench_lay quick            small jobs: the quick layer, 3 s of search, 20 s
    … bench_lay open [seconds]   open strip-packing sets: the bare library, our model around it
    … bench_lay many             time and memory for 10, 100 and 1,000 pieces

The open sets (ESICUP; albano, dagli, marques, shirts, swim, trousers) are read from the data folder
when it is there. Every lay is judged by ``lay.checking``.
"""

from __future__ import annotations

import math
import resource
import subprocess
import sys
import time
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.points import Points
from cutpath.laid import Lay, Stock
from cutpath.lay.checking import faults_of
from cutpath.lay.placing import laid_pieces
from cutpath.lay.seeking import Seeking, seek
from cutpath.lay.shapes import shapes_of
from cutpath.model import Piece
from tests.benchmarks.lay_jobs import DATA, OPEN_SETS, WIDTH, canvas_job, open_set

ROLL = Stock("new roll", None, WIDTH, 0.0, WIDTH)
TURNS = (0.0, math.pi)


def judged_use(
    pieces: Sequence[Piece], turns: Sequence[float], gap: float, seconds: int
) -> tuple[float, float]:
    """Give use and CPU seconds of our own way from pieces to a lay that passes its test."""
    began = time.process_time()
    shapes = shapes_of(pieces, turns, gap, 0.002)
    fine = shapes_of(pieces, turns, gap, 0.0005) if seconds else shapes
    places = seek(Seeking(shapes, fine, (ROLL,), gap), seconds, lambda *_: None)[-1]
    took = time.process_time() - began
    lay = Lay("cloth", gap, (ROLL,), tuple(place for place in places if place is not None))
    laid = laid_pieces(lay, {piece.name: piece for piece in pieces})
    faults = faults_of(lay, laid, pieces, turns)
    assert not faults, faults
    assert len(laid) == len(pieces)
    far = max(float(piece.cut.points[:, 0].max()) for piece in laid)
    return sum(shape.area for shape in shapes) / (WIDTH * far), took


def bare_use(pieces: Sequence[Piece], turns: Sequence[float], seconds: int) -> float:
    """Give the use of the library by itself: points straight in, no gap, nothing checked."""
    import spyrrow

    kinds: dict[bytes, list[Piece]] = {}
    for piece in pieces:
        kinds.setdefault(piece.cut.points.tobytes(), []).append(piece)
    items = [
        spyrrow.Item(str(number), _tuples(kind[0].cut.points - kind[0].cut.points.min(axis=0)),
                     len(kind), np.degrees(turns).tolist())
        for number, kind in enumerate(kinds.values())
    ]  # fmt: skip
    config = spyrrow.StripPackingConfig(
        early_termination=False, total_computation_time=seconds, seed=0
    )
    instance = spyrrow.StripPackingInstance("bare", WIDTH * (1 + 1e-5), items)
    return float(instance.solve(config).density)


def _tuples(points: Points) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in points]


def quick() -> None:
    """Small jobs: the quick layer, three seconds' search, and the best of twenty seconds."""
    print(
        "| panels | seed | quick | CPU s | `--time 3s` | `--time 20s` | points less: quick, 3 s |"
    )
    print("|---|---|---|---|---|---|---|")
    for count in (6, 9, 12, 20):
        for seed in (1, 2, 3):
            pieces = canvas_job(count, seed)
            use, took = judged_use(pieces, TURNS, 4.0, 0)
            short, _ = judged_use(pieces, TURNS, 4.0, 3)
            best = max(judged_use(pieces, TURNS, 4.0, 20)[0], use, short)
            less = f"{100 * (best - use):.1f}, {100 * (best - short):.1f}"
            row = (
                f"| {count} | {seed} | {use:.1%} | {took:.2f} | {short:.1%} | {best:.1%} | {less} |"
            )
            print(row, flush=True)


def open_sets(seconds: int) -> None:
    """Open strip-packing sets."""
    if not DATA.is_dir():
        print("the open sets are not there")
        return
    print(f"| set | pieces | quick | CPU s | bare library, {seconds} s | ours, {seconds} s |")
    print("|---|---|---|---|---|---|")
    for name in OPEN_SETS:
        pieces, turns = open_set(name)
        fast, took = judged_use(pieces, turns, 0.0, 0)
        bare = bare_use(pieces, turns, seconds)
        ours, _ = judged_use(pieces, turns, 0.0, seconds)
        row = f"| {name} | {len(pieces)} | {fast:.1%} | {took:.1f} | {bare:.1%} | {ours:.1%} |"
        print(row, flush=True)


def many() -> None:
    """Time and memory, each count in a process of its own."""
    print("| pieces | CPU s | use | peak MB |\n|---|---|---|---|", flush=True)
    for count in (10, 100, 1000):
        command = [sys.executable, "-m", "tests.benchmarks.bench_lay", "one", str(count)]
        subprocess.run(command, check=True)


def one(count: int) -> None:
    """One row of ``many``."""
    use, took = judged_use(canvas_job(count, 1), TURNS, 4.0, 0)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"| {count} | {took:.1f} | {use:.1%} | {peak:.0f} |", flush=True)


if __name__ == "__main__":
    what, *rest = sys.argv[1:] or ["quick"]
    if what == "open":
        open_sets(int(rest[0]) if rest else 20)
    elif what == "one":
        one(int(rest[0]))
    else:
        {"quick": quick, "many": many}[what]()
