"""What reading a DXF drawing costs on top of ezdxf's own load of it.

Run on demand: ``python -m tests.benchmarks.bench_dxf [entities]``. Both are timed in this process,
turn about, and the best of each counts; lines, arcs and polylines are a third each.
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import ezdxf

from cutpath.intake.dxf import read_dxf

ENTITIES = 20_000
ROUNDS = 5


def write_drawing(path: Path, entities: int) -> None:
    """Write rows of lines, arcs and four-sided polylines with bulges."""
    document = ezdxf.new("R2010", setup=False)
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    across = math.ceil(math.sqrt(entities))
    for index in range(entities):
        x, y = index % across * 40.0, index // across * 40.0
        if index % 3 == 0:
            space.add_line((x, y), (x + 30, y + index % 7))
        elif index % 3 == 1:
            space.add_arc((x, y), 12 + index % 5, index % 90, 120 + index % 200)
        else:
            corners = [(x, y, 0.0), (x + 30, y, 0.2), (x + 30, y + 20, 0.0), (x, y + 20, -0.1)]
            space.add_lwpolyline(corners, format="xyb", close=True)
    document.saveas(path)


def best_of(deeds: list[Callable[[], object]]) -> list[float]:
    """Give the shortest time of each, run turn about."""
    best = [math.inf] * len(deeds)
    for _ in range(ROUNDS):
        for index, deed in enumerate(deeds):
            begin = time.process_time()
            deed()
            best[index] = min(best[index], time.process_time() - begin)
    return best


def main() -> None:
    """Print a table of one line."""
    entities = int(sys.argv[1]) if len(sys.argv) > 1 else ENTITIES
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "many.dxf"
        write_drawing(path, entities)
        load, read = best_of([lambda: ezdxf.readfile(path), lambda: read_dxf(path)])
    print("| entities | ezdxf's load, s | read_dxf, s | ratio |")
    print("|---|---|---|---|")
    print(f"| {entities} | {load:.2f} | {read:.2f} | {read / load:.2f} |")


if __name__ == "__main__":
    main()
