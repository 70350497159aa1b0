"""How long ``cutpath start`` takes on 200 panels, reading included, and whether it guesses right.

python -m tests.benchmarks.bench_start
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import ezdxf
import numpy as np

from cutpath.starting import StartRequest, start

ROWS, COLUMNS = 10, 20


def write_drawing(folder: Path) -> tuple[Path, int]:
    """Draw rows of panels joined side by side, each seam with a length and marks of its own."""
    rng = np.random.default_rng(4)
    document = ezdxf.new("R2010", units=ezdxf.units.MM)
    sheet = document.modelspace()
    heights = rng.uniform(500, 900, (ROWS, COLUMNS + 1))
    marks = rng.uniform(0.2, 0.8, (ROWS, COLUMNS + 1))
    for row in range(ROWS):
        for column in range(COLUMNS):
            x, y = 1300.0 * column, 1100.0 * row
            wide = rng.uniform(700, 1100)
            left, right = heights[row, column], heights[row, column + 1]
            corners = [(x, y), (x + wide, y), (x + wide, y + right), (x, y + left)]
            sheet.add_lwpolyline(corners, close=True)
            sheet.add_text(f"P{row}-{column}", height=30).set_placement((x + 300, y + 250))
            for edge, high in ((0.0, left), (wide, right)):
                place = marks[row, column + (1 if edge else 0)] * high
                sheet.add_point((x + edge, y + place), dxfattribs={"layer": "MARKS"})
    path = folder / "many.dxf"
    document.saveas(path)
    return path, ROWS * (COLUMNS - 1)


def main() -> None:
    """Time it, and count the seams that were named right."""
    with tempfile.TemporaryDirectory() as name:
        drawing, wanted = write_drawing(Path(name))
        begun = time.process_time()
        started = start(StartRequest(drawing, Path(name) / "job.toml"))
        took = time.process_time() - begun
    right = 0
    for guess in started.seams:
        one, other = sorted((guess.first, guess.second), key=str)
        row, column = (int(part) for part in one.panel.upper().lstrip("P").split("-"))
        row2, column2 = (int(part) for part in other.panel.upper().lstrip("P").split("-"))
        right += row == row2 and abs(column - column2) == 1
    print(f"{ROWS * COLUMNS} panels in {took:.2f} s of processor time (aim 5 s)")
    print(f"{right} of {wanted} seams named right, {len(started.seams) - right} wrong")


if __name__ == "__main__":
    main()
