"""How many moves a second each language is written at; run it by hand.

Wanted: 200,000 a second. A move is one straight segment of a stroke, a travel, a lowering or a
lift.
"""

import math
import time

import numpy as np

from cutpath.geometry.chain import polyline
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.model import Feature, Role, Toolpath
from cutpath.moves import Follow
from cutpath.settings.profile import load_profile


def outlines(count: int, corners: int, size: float) -> list[Toolpath]:
    """Outlines of many corners spread over the bed."""
    angles = 2 * math.pi * np.arange(corners) / corners
    radii = size * (1 + 0.2 * np.sin(5 * angles))
    shape = np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1)
    paths = []
    for number in range(count):
        centre = (150 + 137.7 * number % 2600, 150 + 91.3 * number % 1200)
        chain = polyline(shape + centre, closed=True)
        paths.append(Toolpath(Role.KNIFE, Feature.OUTLINE, f"p{number}", chain))
    return paths


def main() -> None:
    """Print a table."""
    print(f"{'profile':16}{'strokes':>10}{'moves':>10}{'planned/s':>12}{'written/s':>12}")
    for name in ("flatbed-hpgl", "flatbed-hpgl2", "gantry-rs274", "paper-plotter"):
        profile = load_profile(name)
        for count, corners in ((1000, 60), (100, 2000)):
            paths = outlines(count, corners, 60)
            begun = time.perf_counter()
            moves = moves_for(paths, profile)
            planned = time.perf_counter()
            emit(moves, profile)
            written = time.perf_counter()
            total = sum(len(move.chain) if isinstance(move, Follow) else 1 for move in moves)
            print(
                f"{name:16}{count:>10}{total:>10}{total / (planned - begun):>12,.0f}"
                f"{total / (written - planned):>12,.0f}"
            )


if __name__ == "__main__":
    main()
