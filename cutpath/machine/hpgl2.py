"""The HP-GL/2 writer: strokes are polyline-encoded (PE), a third of the bytes.

Source: HP, "PCL 5 Printer Language Technical Reference Manual, Part II", pages 20-34 to 20-43.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.machine.encoding import ABSOLUTE, FRACTION, PEN_UP, SEVEN_BIT, encoded
from cutpath.machine.grid import chord_points, without_repeats
from cutpath.machine.plotter import Grid, Place, write_plotter
from cutpath.model import Move
from cutpath.settings.profile import Output, Profile


def write_hpgl2(moves: Sequence[Move], profile: Profile) -> bytes:
    """Give ``moves`` as HP-GL/2. Raises MachineError beyond the profile's largest number."""
    return write_plotter(moves, profile, _PolylineEncoded(profile.output))


class _PolylineEncoded:
    def __init__(self, output: Output) -> None:
        self.grid = Grid(output, output.fraction_bits)
        self.chord = output.chord_tolerance
        self.longest = output.longest_line
        self.base = output.base
        # Base and fraction hold for one instruction only, so each says them again.
        self.opening = "PE" + (SEVEN_BIT if output.base == 32 else "")
        if output.fraction_bits:
            self.opening += FRACTION + encoded(output.fraction_bits, output.base)

    def travel(self, to: Place) -> str:
        x, y = encoded(to[0], self.base), encoded(to[1], self.base)
        return f"{self.opening}{PEN_UP}{ABSOLUTE}{x}{y};"

    def draw(self, chain: Chain, at: Place) -> tuple[list[str], Place]:
        places = self.grid.places(chord_points(chain, self.chord))
        places = without_repeats(np.concatenate([[at], places]))
        steps = np.diff(places, axis=0).tolist()
        base = self.base
        pairs = [encoded(dx, base) + encoded(dy, base) for dx, dy in steps]
        return self._instructions(pairs), (int(places[-1, 0]), int(places[-1, 1]))

    def _instructions(self, pairs: list[str]) -> list[str]:
        lines: list[str] = []
        room = self.longest - len(self.opening) - 1
        line: list[str] = []
        filled = 0
        for pair in pairs:
            if line and filled + len(pair) > room:
                lines.append(f"{self.opening}{''.join(line)};")
                line, filled = [], 0
            line.append(pair)
            filled += len(pair)
        if line:
            lines.append(f"{self.opening}{''.join(line)};")
        return lines
