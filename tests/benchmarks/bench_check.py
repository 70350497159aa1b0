"""How long ``cutpath check`` takes: reading, healing, walking and telling a large job.

    python tests/benchmarks/bench_check.py

A job of 200 panels in a ring of rows, 400 seams, 200 vertices an edge, drawn as DXF polylines.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import ezdxf
import numpy as np

from cutpath.checking import check, pictures
from cutpath.planning import Request

ROWS, COLUMNS, VERTICES = 10, 20, 200


def edge(start: np.ndarray, end: np.ndarray, rise: float) -> np.ndarray:
    """Give a bowed edge of many vertices, without its last."""
    share = np.linspace(0.0, 1.0, VERTICES + 1)[:-1, None]
    run = end - start
    aside = np.array([-run[1], run[0]]) / np.hypot(*run)
    return np.asarray(start + share * run + rise * np.sin(np.pi * share) * aside)


def panel(x: float, y: float) -> np.ndarray:
    """Give the outline of one panel of 900 × 700 mm, each edge bowed alike."""
    corners = np.array([(0, 0), (900, 0), (900, 700), (0, 700)]) + np.array([x, y])
    return np.concatenate([edge(corners[k], corners[(k + 1) % 4], 12.0) for k in range(4)])


def write_job(folder: Path) -> Path:
    """Write drawing and job; give the job's path."""
    document = ezdxf.new("R2010", units=ezdxf.units.MM)
    sheet = document.modelspace()
    seams = []
    for row in range(ROWS):
        for column in range(COLUMNS):
            x, y = 1100.0 * column, 900.0 * row
            sheet.add_lwpolyline(panel(x, y), close=True)
            sheet.add_text(
                f"P{row}-{column}", height=30, dxfattribs={"layer": "NAMES"}
            ).set_placement((x + 400, y + 300))
            right, up = f"P{row}-{(column + 1) % COLUMNS}", f"P{(row + 1) % ROWS}-{column}"
            seams.append((f"P{row}-{column}/right", f"{right}/left"))
            seams.append((f"P{row}-{column}/top", f"{up}/bottom"))
    document.saveas(folder / "many.dxf")
    text = 'drawing = "many.dxf"\n' + "".join(
        f'[[seam]]\njoin = ["{one}", "{other}"]\n' for one, other in seams
    )
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    return job


def main() -> None:
    """Time the check, and the pictures beside it."""
    with tempfile.TemporaryDirectory() as name:
        job = write_job(Path(name))
        start = time.process_time()
        checked = check(Request(job, ""))
        took = time.process_time() - start
        start = time.process_time()
        drawn = pictures(checked)
        print(f"{len(checked.reports)} seams checked in {took:.2f} s, all fit: {checked.fits}")
        print(f"{len(drawn)} files of pictures in {time.process_time() - start:.2f} s")


if __name__ == "__main__":
    main()
