"""A machine with faults of its own that makes the test patterns, and a hand that measures them.

It shares no formula with the fit: places are told through the profile's faults undone, the carriage
follows with its play, and the blade's tip is followed step by step by the replay.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from cutpath.geometry.chain import polyline
from cutpath.geometry.points import Floats
from cutpath.replay.tip import Blade
from cutpath.settings.profile import Profile

TURNS = (30, 60, 90, 120, 150)
Spot = tuple[float, float]


@dataclass(frozen=True)
class Machine:
    """A machine's true faults: mm, radians; offsets, trails and diameters by tool."""

    x_scale: float = 1.0
    y_scale: float = 1.0
    skew: float = 0.0
    play: Spot = (0.0, 0.0)
    advance_scale: float = 1.0
    offsets: Mapping[str, Spot] = field(default_factory=dict)
    trails: Mapping[str, float] = field(default_factory=dict)
    diameters: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def told_by(cls, profile: Profile) -> Machine:
        """Give the machine that the profile takes it for."""
        said = profile.compensation
        tools = profile.tools.items()
        return cls(
            said.x_scale,
            said.y_scale,
            said.skew,
            (said.x_backlash, said.y_backlash),
            said.advance_scale,
            {name: tool.offset for name, tool in tools},
            {name: tool.blade_offset for name, tool in tools},
            {name: tool.diameter for name, tool in tools if tool.diameter is not None},
        )

    @property
    def values(self) -> dict[str, float]:
        """Give the faults by the names that the fit has for them."""
        out = {
            name: getattr(self, name) for name in ("x_scale", "y_scale", "skew", "advance_scale")
        }
        out["x_backlash"], out["y_backlash"] = self.play
        for tool, (x, y) in self.offsets.items():
            out |= {f"{tool}.offset_x": x, f"{tool}.offset_y": y}
        out |= {f"{tool}.blade_offset": trail for tool, trail in self.trails.items()}
        return out | {f"{tool}.diameter": size for tool, size in self.diameters.items()}

    @property
    def matrix(self) -> Floats:
        """Give carriage places to real ones, 2 × 2."""
        y = self.y_scale
        return np.array([[self.x_scale, y * math.sin(self.skew)], [0.0, y * math.cos(self.skew)]])

    def told(self, asked: Sequence[Spot], tool: str) -> list[Spot]:
        """Give what a file says so that this machine goes through the ``asked`` places."""
        there = np.asarray(asked) - self.offsets.get(tool, (0.0, 0.0))
        q = np.linalg.solve(self.matrix, there.T).T
        ways = np.sign(np.diff(q, axis=0).round(9))
        for row in range(1, len(ways)):
            ways[row] = np.where(ways[row] == 0, ways[row - 1], ways[row])
        ahead = ways * np.array(self.play) / 2
        out: list[Spot] = []
        for row, shift in enumerate(ahead):
            out += [tuple((q[row] + shift).tolist()), tuple((q[row + 1] + shift).tolist())]
        return out

    def real(self, told: Sequence[Spot], tool: str) -> Floats:
        """Give where the tool's pivot goes when it is told these places."""
        carriage = np.array(_pushed(told, self.play))
        shifted: Floats = carriage @ self.matrix.T + self.offsets.get(tool, (0.0, 0.0))
        return shifted


def _pushed(told: Sequence[Spot], play: Spot) -> list[Spot]:
    """Follow the told places with each axis' play, with a place more where an axis is reached."""
    at = list(told[0])
    out = [told[0]]
    for start, end in itertools.pairwise(told):
        shares = [1.0]
        for axis in (0, 1):
            way = end[axis] - start[axis]
            if way:
                behind = math.copysign(play[axis] / 2, way) - (start[axis] - at[axis])
                share = behind / way
                shares += [share] if 0 < share < 1 else []
        for share in sorted(shares):
            for axis in (0, 1):
                place = start[axis] + share * (end[axis] - start[axis])
                at[axis] = min(max(at[axis], place - play[axis] / 2), place + play[axis] / 2)
            out.append((at[0], at[1]))
    return out


@dataclass(frozen=True)
class Bench:
    """A machine that is in truth ``true``, told by files for the machine ``told``."""

    told: Machine
    true: Machine

    def goes(self, tool: str, *asked: Spot) -> Floats:
        """Give the way of the pivot; the first place is the approach."""
        return self.true.real(self.told.told(asked, tool), tool)

    def lands(self, tool: str, at: Spot, side: Spot = (-1, -1)) -> Floats:
        """Give where a tool stands that was sent to ``at``, coming from ``side``."""
        place: Floats = self.goes(tool, (at[0] + 6 * side[0], at[1] + 6 * side[1]), at)[-1]
        return place

    def cuts(self, tool: str, *asked: Spot, heading: float = 0.0) -> Floats:
        """Give the tip's way when the pivot is sent along ``asked``; up to the second it is up."""
        in_air = len(self.goes(tool, *asked[:2])) - 1
        pivot = self.goes(tool, *asked)[in_air:]
        moves = np.concatenate([[True], np.hypot(*np.diff(pivot, axis=0).T) > 1e-9])
        return Blade(self.true.trails[tool], heading).follow(polyline(pivot[moves])).points

    def scale(self, tool: str, width: float, height: float) -> dict[str, float]:
        """Measure between crosses at the ends of lines."""

        def between(start: Spot, end: Spot) -> float:
            return float(np.hypot(*(self.lands(tool, end) - self.lands(tool, start))))

        middle = (width / 2, height / 2)
        return {
            "near": between((0, 0), (width, 0)),
            "middle_x": between((0, middle[1]), (width, middle[1])),
            "far": between((0, height), (width, height)),
            "left": between((0, 0), (0, height)),
            "middle_y": between((middle[0], 0), (middle[0], height)),
            "right": between((width, 0), (width, height)),
            "rising": between((0, 0), (width, height)),
            "falling": between((width, 0), (0, height)),
        }

    def backlash(self, tool: str) -> dict[str, float]:
        """Measure ticks met from both sides."""
        out: dict[str, float] = {}
        for number, at in enumerate([(20.0, 20.0), (500, 20), (20, 300), (500, 300)], start=1):
            low = self.lands(tool, at)
            right, above = self.lands(tool, at, (1, -1)), self.lands(tool, at, (-1, 1))
            out |= {f"x{number}": float((right - low)[0]), f"y{number}": float((above - low)[1])}
        return out

    def blade(self, tool: str) -> dict[str, float]:
        """Measure slits, corners and discs cut with the pivot on the line."""
        out = {}
        for number, x in enumerate((50.0, 90.0), start=1):
            for axis, way in enumerate(np.eye(2)):
                at = np.array([x, 60.0])
                low = self.cuts(tool, *_slit(at, way), heading=axis * math.pi / 2)[-1]
                high = self.cuts(tool, *_slit(at, -way), heading=math.pi * (1 + axis / 2))[-1]
                out[f"gap_{'xy'[axis]}{number}"] = float(high[axis] - low[axis])
        for degrees in TURNS:
            out[f"corner_{degrees}"] = self.corner(tool, math.radians(degrees))
        for radius in (5, 10):
            out[f"circle_{radius}"] = self.disc(tool, float(radius))
        return out

    def corner(self, tool: str, turn: float) -> float:
        """Measure from where the straight runs would meet to the cut, along the bisector."""
        at, out = np.array([100.0, 100.0]), np.array([math.cos(turn), math.sin(turn)])
        start = at - (30.0, 0.0)
        spots = [start - 6.0, start, at, at + 60 * out]
        tip = self.cuts(tool, *[tuple(spot.tolist()) for spot in spots])
        first, last = tip[0], tip[-1]
        along = (last - tip[-2]) / np.hypot(*(last - tip[-2]))
        # y stays on the first run's line; the second run is followed back to it.
        corner = last - along * (last[1] - first[1]) / along[1]
        bisector = along - (1.0, 0.0)
        bisector /= np.hypot(*bisector)
        across = np.array([-bisector[1], bisector[0]])
        side = (tip - corner) @ across
        row = int(np.flatnonzero((side[:-1] > 0) != (side[1:] > 0))[-1])
        share = side[row] / (side[row] - side[row + 1])
        crossed = tip[row] + share * (tip[row + 1] - tip[row])
        return float((crossed - corner) @ bisector)

    def disc(self, tool: str, radius: float) -> float:
        """Measure a disc across both diagonals."""
        angles = np.linspace(-math.pi / 2, 2.5 * math.pi, 2161)
        ring = np.array([50.0, 50.0]) + radius * np.column_stack([np.cos(angles), np.sin(angles)])
        lead = [ring[0] - (21.0, 6.0), ring[0] - (15.0, 0.0)]
        tip = self.cuts(tool, *[tuple(spot.tolist()) for spot in [*lead, *ring]])
        from_end = np.hypot(*np.diff(tip, axis=0).T)[::-1].cumsum()[::-1]
        late = tip[:-1][from_end < 7 * radius]
        across = late @ np.array([[1, -1], [1, 1]]) * math.sqrt(0.5)
        return float(np.ptp(across, axis=0).mean())

    def beside(self, tool: str, reference: str) -> dict[str, float]:
        """Measure a tool's marks beside the reference's."""
        out: dict[str, float] = {}
        for number, at in enumerate([(0.0, 0.0), (300, 200), (600, 400)], start=1):
            off = self.lands(tool, at) - self.lands(reference, at)
            out |= {f"dx{number}": float(off[0]), f"dy{number}": float(off[1])}
        return out

    def advance(self, tool: str, advance: float) -> dict[str, float]:
        """Measure marks on cloth that runs along x, made before and after it advanced."""
        went = advance / self.told.advance_scale * self.true.advance_scale
        out = {}
        for number, y in enumerate((0.0, 300.0, 600.0), start=1):
            first, second = self.lands(tool, (advance + 50, y)), self.lands(tool, (50.0, y))
            out[f"a{number}"] = float(second[0] - (first[0] - went))
        return out


def _slit(end: Floats, way: Floats) -> list[Spot]:
    start = end - 40 * way
    before = start - 6 * way - 1.2 * np.abs(way[::-1])
    return [tuple(spot.tolist()) for spot in (before, start, end)]


def measured_text(
    profile: str, digest: str, patterns: Sequence[tuple[dict[str, Any], Mapping[str, Any]]]
) -> str:
    """Give a filled-in form: for each pattern its own keys, and its readings."""
    lines = [f'profile = "{profile}"', f'digest = "{digest}"']
    for keys, readings in patterns:
        lines += ["[[pattern]]", *(f"{key} = {_toml(value)}" for key, value in keys.items())]
        nested = {tool: rows for tool, rows in readings.items() if isinstance(rows, Mapping)}
        plain = {key: value for key, value in readings.items() if key not in nested}
        for table, rows in [("", plain), *((f".{tool}", rows) for tool, rows in nested.items())]:
            lines.append(f"[pattern.readings{table}]")
            lines += [f"{key} = {_toml(value)}" for key, value in rows.items()]
    return "\n".join(lines) + "\n"


def _toml(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list | tuple):
        return f"[{', '.join(_toml(each) for each in value)}]"
    return repr(value)


def without_faults_in(machine: Machine, *names: str) -> Machine:
    """Give ``machine`` with these faults as a perfect machine has them."""
    perfect = Machine()
    return replace(machine, **{name: getattr(perfect, name) for name in names})
