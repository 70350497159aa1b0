"""What a machine with given faults makes of what an old profile's file tells it.

A file written under the old profile tells carriage places q = M₀⁻¹ (asked − offset₀), driven ahead
by half the old play; the machine goes to M q + offset, behind by half its play. So lines come out
as J = M M₀⁻¹ makes them, with J = 1 where the profile is right, and what lags is the play that the
profile does not know, δ = play − play₀. Lengths between places, so the origin plays no part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutpath.bench.fit.tractrix import corner_distance
from cutpath.bench.fit.unknowns import Values

Vector = tuple[float, float]
_STANDS = 0.01
"""An axis that should go back by less than this share of a run stands in its play all along it."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Carriage places to real ones: x = a x + b y, y = d y."""

    a: float
    b: float
    d: float

    @classmethod
    def of(cls, values: Values) -> Frame:
        """Give the frame of a machine's scales and skew."""
        skew, along_y = values["skew"], values["y_scale"]
        return cls(values["x_scale"], along_y * math.sin(skew), along_y * math.cos(skew))

    def real(self, carriage: Vector) -> Vector:
        """Give the real step of a carriage step."""
        return self.a * carriage[0] + self.b * carriage[1], self.d * carriage[1]

    def carriage(self, real: Vector) -> Vector:
        """Give the carriage step of a real one."""
        y = real[1] / self.d
        return (real[0] - self.b * y) / self.a, y


@dataclass(frozen=True, slots=True)
class Forward:
    """What is measured on patterns made with the profile whose values are ``told``."""

    told: Values

    def step(self, values: Values, asked: Vector) -> Vector:
        """Give the real step where ``asked`` was asked for."""
        return Frame.of(values).real(Frame.of(self.told).carriage(asked))

    def length(self, values: Values, asked: Vector) -> float:
        """Give the real length of a line asked for."""
        return math.hypot(*self.step(values, asked))

    def play(self, values: Values, axis: str) -> float:
        """Give how far apart a place come to from both sides lies, along ``axis``."""
        frame = Frame.of(values)
        return (frame.a if axis == "x" else frame.d) * self._unknown_play(values, axis)

    def _unknown_play(self, values: Values, axis: str) -> float:
        name = f"{axis}_backlash"
        return values[name] - self.told[name]

    def slit_gap(self, values: Values, tool: str, axis: str) -> float:
        """Give the gap between two slits told to end at one place, cut from both sides."""
        return 2 * values[f"{tool}.blade_offset"] + self.play(values, axis)

    def corner(self, values: Values, tool: str, turn: float) -> float:
        """Give how far from the corner the cut crosses its bisector; in along +x, then left.

        Where x turns back (beyond a right angle) the carriage stands in x until its play is used,
        and both straight runs, made longer, meet beside the place where it turned.
        """
        frame, before = Frame.of(values), Frame.of(self.told)
        out = before.carriage((math.cos(turn), math.sin(turn)))
        play = self._unknown_play(values, "x")
        knee = (0.0, 0.0)
        if -_STANDS < out[0] <= 0:
            out = (0.0, out[1])
        elif play > 0 and out[0] < 0:
            knee = frame.real((0.0, play * out[1] / -out[0]))
        return corner_distance(knee, frame.real(out), values[f"{tool}.blade_offset"])

    def circle(self, values: Values, tool: str, diameter: float) -> float:
        """Give the tip's diameter, the mean of both diagonals, when its pivot is told a circle.

        A tip that trails by d runs on a circle of radius √(R² − d²) (a right angle at the tip).
        """
        half = math.sqrt(0.5)
        diagonals = (self.length(values, (half, half)), self.length(values, (half, -half)))
        pivot = diameter / 2 * sum(diagonals) / 2
        squared = pivot**2 - values[f"{tool}.blade_offset"] ** 2
        return 2 * math.sqrt(max(squared, 0.0))

    def beside(self, values: Values, tool: str, reference: str) -> Vector:
        """Give where ``tool`` lands beside ``reference`` when both are sent to one place."""
        mine, other = self._landing(values, tool), self._landing(values, reference)
        return mine[0] - other[0], mine[1] - other[1]

    def _landing(self, values: Values, tool: str) -> Vector:
        names = (f"{tool}.offset_x", f"{tool}.offset_y")
        undone = self.step(values, (self.told[names[0]], self.told[names[1]]))
        return values[names[0]] - undone[0], values[names[1]] - undone[1]

    def advanced(self, values: Values, axis: str, advance: float) -> float:
        """Give how much farther than told the cloth went, by marks made before and after.

        They lie ``advance`` apart on the bed, so the machine's own scale is in it.
        """
        along = (1.0, 0.0) if axis == "x" else (0.0, 1.0)
        on_bed = self.step(values, along)[0 if axis == "x" else 1]
        return advance * (values["advance_scale"] / self.told["advance_scale"] - on_bed)
