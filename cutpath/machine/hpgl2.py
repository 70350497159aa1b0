"""The HP-GL/2 writer: strokes are polyline-encoded (PE), a third of the bytes.

Source: HP, "PCL 5 Printer Language Technical Reference Manual, Part II", pages 20-34 to 20-43.
"""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Floats, Ints
from cutpath.machine.encoding import ABSOLUTE, FRACTION, PEN_UP, SEVEN_BIT, encoded
from cutpath.machine.grid import chord_points, steps_from
from cutpath.machine.plotter import Grid, Place, write_plotter
from cutpath.machine.program_text import ProgramText
from cutpath.moves import Move
from cutpath.settings.profile import Output, Profile


def write_hpgl2(moves: Sequence[Move], profile: Profile) -> ProgramText:
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

    def points_on(self, chain: Chain) -> Floats:
        return chord_points(chain, self.chord)

    def draw(self, chain: Chain, places: Ints, at: Place) -> tuple[list[str], Place]:
        del chain  # its chords are all there is to draw
        base = self.base
        pairs = []
        for x, y in steps_from(at, places):
            pairs.append(encoded(x - at[0], base) + encoded(y - at[1], base))
            at = (x, y)
        return self._instructions(pairs), at

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
