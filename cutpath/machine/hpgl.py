"""The HP-GL writer: PU and PD with absolute places, and AA where the machine draws arcs.

Source: HP, "7470A Graphics Plotter Interfacing and Programming Manual", 07470-90001 (PU/PD);
"PCL 5 Printer Language Technical Reference Manual, Part II", pages 20-10 to 20-14 (AA).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain, segment
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.points import Floats, Ints, Point
from cutpath.machine.grid import chord_points, steps_from
from cutpath.machine.plotter import Grid, Place, write_plotter
from cutpath.machine.program_text import ProgramText
from cutpath.moves import Move
from cutpath.settings.profile import Output, Profile

_LEAST_CHORD_ANGLE = 0.5
_MOST_CHORD_ANGLE = 180.0
_ARC_MISS = 1.0
"""How far, in units, an arc about its rounded centre may miss its rounded end."""


def write_hpgl(moves: Sequence[Move], profile: Profile) -> ProgramText:
    """Give ``moves`` as HP-GL. Raises MachineError beyond the profile's largest number."""
    return write_plotter(moves, profile, _PenUpPenDown(profile.output))


class _PenUpPenDown:
    def __init__(self, output: Output) -> None:
        self.grid = Grid(output)
        self.chord = output.chord_tolerance
        self.longest = output.longest_line
        self.arcs = output.arcs

    def travel(self, to: Place) -> str:
        return f"PU{to[0]},{to[1]};"

    def points_on(self, chain: Chain) -> Floats:
        return chain.points if self.arcs else chord_points(chain, self.chord)

    def draw(self, chain: Chain, places: Ints, at: Place) -> tuple[list[str], Place]:
        if not self.arcs or not chain.bulges.any():
            return self._lines(places, at)
        lines: list[str] = []
        centers, radii, _, sweeps = arc_geometry(chain)
        whole = places.tolist()
        for row, bulge in enumerate(chain.bulges.tolist()):
            end = (whole[row + 1][0], whole[row + 1][1])
            arc = self._arc(centers[row], float(radii[row]), float(sweeps[row]), (at, end))
            if bulge and arc:
                lines.append(arc)
                at = end
                # The arc's own end may be a unit off; the next place must not be.
                lines.append(f"PD{at[0]},{at[1]};")
            else:
                chords = self.grid.places(chord_points(segment(chain, row), self.chord))
                drawn, at = self._lines(chords, at)
                lines += drawn
        return lines, at

    def _lines(self, places: Ints, at: Place) -> tuple[list[str], Place]:
        steps = steps_from(at, places)
        if not steps:
            return [], at
        pairs = [f"{x},{y}" for x, y in steps]
        step = max(1, (self.longest - len("PD;")) // (max(map(len, pairs)) + 1))
        lines = [
            f"PD{','.join(pairs[first : first + step])};" for first in range(0, len(pairs), step)
        ]
        return lines, steps[-1]

    def _arc(self, center: Point, radius: float, sweep: float, ends: tuple[Place, Place]) -> str:
        """Give AA for one arc, or nothing where rounding or the chord angle forbids it."""
        if math.isnan(radius):
            return ""
        scale = self.grid.units_per_mm
        angle = math.degrees(4 * math.asin(math.sqrt(min(1.0, self.chord / (2 * radius)))))
        if angle < _LEAST_CHORD_ANGLE or np.abs(center).max() * scale > self.grid.largest:
            return ""
        at, end = ends
        x, y = self.grid.place(center)
        degrees = round(math.degrees(sweep), 3)
        turn = math.radians(degrees)
        cos, sin = math.cos(turn), math.sin(turn)
        dx, dy = at[0] - x, at[1] - y
        reached = (x + cos * dx - sin * dy, y + sin * dx + cos * dy)
        if math.dist(reached, end) > _ARC_MISS:
            return ""
        chord_angle = math.floor(min(angle, _MOST_CHORD_ANGLE) * 10) / 10
        return f"AA{x},{y},{degrees:.3f},{chord_angle:.1f};"
