"""The whole way from drawing to machine file, for 100, 1,000 and 5,000 panels of 60 vertices.

Run on demand: ``python -m tests.benchmarks.bench_pipeline [panels …]``. Each size runs in a process
of its own, so that the memory told is that size's. Times are of the processor (one core).
"""

from __future__ import annotations

import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import ezdxf

VERTICES = 60
SIZES = (100, 1000, 5000)


def write_drawing(path: Path, panels: int) -> None:
    """Write rows of scalloped panels with a name and two marks each; all invented."""
    document = ezdxf.new("R2010", setup=False)
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    across = math.ceil(math.sqrt(panels))
    for index in range(panels):
        x, y = index % across * 400.0, index // across * 400.0
        points = []
        for corner in range(VERTICES):
            angle = 2 * math.pi * corner / VERTICES
            radius = 120 + 15 * math.cos(4 * angle) + (index % 7)
            points.append((x + radius * math.cos(angle), y + radius * math.sin(angle)))
        space.add_lwpolyline(points, close=True, dxfattribs={"layer": "OUTLINE"})
        space.add_text(f"P{index}", height=10, dxfattribs={"layer": "NAMES"}).set_placement((x, y))
        for at in (points[3], points[33]):
            space.add_point(at, dxfattribs={"layer": "MARKS"})
    document.saveas(path)


def measure(panels: int) -> dict[str, float]:
    """Time each stage once."""
    from cutpath.intake.healing import heal, require_closed
    from cutpath.intake.reading import read_drawing
    from cutpath.intake.sorting import sort_by_layer
    from cutpath.machine.emission import emit
    from cutpath.machine.motion import moves_for
    from cutpath.panels.finding import find_panels
    from cutpath.panels.planning import plan_panels
    from cutpath.path.arranging import BedRoom, arrange
    from cutpath.path.ordering import ordered_toolpaths
    from cutpath.pipeline import effort, pieces_of
    from cutpath.proving import machine_to_bed
    from cutpath.settings.job import default_job
    from cutpath.settings.profile import load_profile

    times: dict[str, float] = {}

    def lap(name: str) -> None:
        nonlocal clock
        now = time.process_time()
        times[name] = times.get(name, 0.0) + now - clock
        clock = now

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "panels.dxf"
        write_drawing(path, panels)
        profile = load_profile("gantry-rs274")
        job = default_job(12.7, path)
        clock = time.process_time()
        drawing = sort_by_layer(read_drawing(path)[0])
        lap("read")
        healed, _ = heal(drawing.curves)
        require_closed(healed, 0.1)
        lap("heal")
        found, _ = find_panels(drawing, healed.loops, healed.open, job)
        plans, _ = plan_panels(found, job)
        lap("panels")
        pieces, _ = pieces_of(plans, profile)
        lap("pieces")
        bed = BedRoom(profile.bed.width, profile.bed.height, profile.bed.margin, profile.name)
        loads = arrange(pieces, bed)
        lap("arrange")
        start = machine_to_bed(profile)[:, 2]
        for load in loads:
            toolpaths = ordered_toolpaths(load, start, effort(loads))
            lap("order")
            emit(moves_for(toolpaths, profile), profile)
            lap("write")
    times["all"] = sum(times.values())
    times["peak MB"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return times


def main() -> None:
    """Print a table, a column for each size."""
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(measure(int(sys.argv[2]))))
        return
    sizes = [int(size) for size in sys.argv[1:]] or list(SIZES)
    columns = {}
    for size in sizes:
        command = [sys.executable, "-m", "tests.benchmarks.bench_pipeline", "--one", str(size)]
        done = subprocess.run(command, check=True, capture_output=True, text=True)
        columns[size] = json.loads(done.stdout)
    print("| stage, CPU s | " + " | ".join(f"{size} panels" for size in sizes) + " |")
    print("|---" * (len(sizes) + 1) + "|")
    for row in columns[sizes[0]]:
        print(f"| {row} | " + " | ".join(f"{columns[size][row]:.2f}" for size in sizes) + " |")


if __name__ == "__main__":
    main()
