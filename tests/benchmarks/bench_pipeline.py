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

from cutpath.effort import order_load, rounds_for
from cutpath.intake.healing import heal, require_closed
from cutpath.intake.reading import read_drawing
from cutpath.intake.sorting import sort_by_layer
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.panels.finding import find_panels
from cutpath.panels.planning import plan_panels
from cutpath.path.arranging import BedRoom, arrange
from cutpath.pipeline import pieces_of
from cutpath.settings.job import default_job
from cutpath.settings.profile import Profile, load_profile

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


class Stopwatch:
    """Adds up the processor's time by name, from one lap to the next."""

    def __init__(self) -> None:
        self.times: dict[str, float] = {}
        self.last = time.process_time()

    def lap(self, name: str) -> None:
        """Put what has passed since the last lap under ``name``."""
        now = time.process_time()
        self.times[name] = self.times.get(name, 0.0) + now - self.last
        self.last = now


def measure(panels: int) -> dict[str, float]:
    """Time each stage once."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "panels.dxf"
        write_drawing(path, panels)
        profile = load_profile("gantry-rs274")
        watch = Stopwatch()
        cut_files(path, profile, watch)
    times = {**watch.times, "all": sum(watch.times.values())}
    times["peak MB"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return times


def cut_files(path: Path, profile: Profile, watch: Stopwatch) -> None:
    """Go the whole way once, without the replay."""
    job = default_job(12.7, path)
    drawing = sort_by_layer(read_drawing(path)[0])
    watch.lap("read")
    healed, _ = heal(drawing.curves)
    require_closed(healed, 0.1)
    watch.lap("heal")
    found, _ = find_panels(drawing, healed.loops, healed.open, job)
    plans, _ = plan_panels(found, job)
    watch.lap("panels")
    pieces, _ = pieces_of(plans, profile)
    watch.lap("pieces")
    bed = BedRoom(profile.bed.width, profile.bed.height, profile.bed.margin, profile.name)
    loads = arrange(pieces, bed)
    watch.lap("arrange")
    for load in loads:
        toolpaths = order_load(load, profile, rounds_for(loads)).toolpaths
        watch.lap("order")
        emit(moves_for(toolpaths, profile), profile)
        watch.lap("write")


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
