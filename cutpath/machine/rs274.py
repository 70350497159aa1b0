"""The RS274/NGC writer: absolute places in millimetres or inches, arcs by I and J.

Source: NISTIR 6556, "The NIST RS274NGC Interpreter - Version 3" (2000): 3.3 (lines), 3.5.3 (arcs;
the radii at both ends must agree within 0.002 mm or 0.0002 in), 3.5.4 (dwell).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from cutpath.geometry.chain import Chain, segment
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.points import Bools, Floats, Ints
from cutpath.machine.advancing import Advancer
from cutpath.machine.decimals import Numbers, feed_word
from cutpath.machine.grid import chord_points, on_grid, places_of, steps_from
from cutpath.machine.program_text import ProgramText
from cutpath.moves import AdvanceCloth, Dwell, Follow, Lift, Lower, Move, SelectTool, Travel, Turn
from cutpath.settings.profile import Output, Profile, Tool

Place = tuple[int, int]

_FLAT = 0.0005
"""mm; an arc with a lower sagitta is a line."""
_FARTHEST = 100_000.0
"""mm; a centre farther off costs the numbers their digits."""
_LARGEST_MM = 1_000_000
_OFF_WAY = math.radians(1.0)
"""How far a turned blade may be off a chord at its ends, where an arc goes out as chords."""
_PERCENT = "%"


def write_rs274(moves: Sequence[Move], profile: Profile) -> ProgramText:
    """Give ``moves`` as RS274/NGC. Raises MachineError for a place beyond 1 km."""
    lines, before = _Program(profile).lines(moves)
    ending = profile.output.line_ending.characters or "\n"  # lines are the language's own
    return ProgramText(lines, before, ending)


class _Program:
    """Writes line by line, and remembers what the controller does: place, feed, tool."""

    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.output: Output = profile.output
        self.numbers = Numbers(profile.output)
        self.scale = self.numbers.scale
        self.at: Place | None = None
        self.feed = ""
        self.tool: Tool | None = None
        self.is_down = False
        self.raising = self._raising(self.output.travel_height)
        self.cloth = Advancer(profile)

    def lines(self, moves: Sequence[Move]) -> tuple[list[str], list[int]]:
        """Give all lines, and how many come before each move and after the last."""
        output = self.output
        # A file that ends with the sign for it begins with it too (3.2).
        out = [_PERCENT] if output.finish == _PERCENT else []
        out += [_with_units(output.modes, self.numbers.units_word), *output.start]
        if any(not tool.lower for tool in self.profile.tools.values()):
            out.append(self.raising)
        chords = self._all_chords if not self.output.arcs else _joints
        places = places_of(moves, chords, int(_LARGEST_MM * self.scale), self.scale)
        before = [len(out)]
        for move in moves:
            out += self._obey(move, places)
            before.append(len(out))
        if self.is_down:
            out += self._lift()
        return [*out, *output.end, output.finish], before

    def _obey(self, move: Move, places: Iterator[Ints]) -> list[str]:
        match move:
            case SelectTool(tool):
                lines = self._select(tool)
            case Travel():
                lines = self._travel(next(places))
            case Lower(_, depth):
                lines = self._lower(depth)
            case Follow():
                lines = self._follow(move, next(places))
            case Turn(heading):
                lines = [self._turn(heading)]
            case Lift(height):
                lines = self._lift(height)
            case AdvanceCloth(distance):
                lines = self.cloth.lines_for(distance)
            case Dwell(seconds):
                lines = [self._waiting(seconds)]
        return lines

    def _select(self, name: str) -> list[str]:
        lines = self._lift() if self.is_down else []
        self.tool = self.profile.tools[name]
        self.at, self.feed = None, ""
        if self.output.comments:
            words = "".join(
                sign for sign in name if (sign.isascii() and sign.isalnum()) or sign in " -_"
            )
            lines.append(f"({words[:60]})")
        change = self.output.tool_change
        return lines + [line.format(number=self.tool.number, tool=name) for line in change]

    def _travel(self, places: Ints) -> list[str]:
        x, y = places[0].tolist()
        if (x, y) == self.at:
            return []
        self.at = (x, y)
        return [f"G0 X{self.numbers.counted(x)} Y{self.numbers.counted(y)}"]

    def _lower(self, trial_depth: float | None) -> list[str]:
        tool = self._held()
        self.is_down = True
        if tool.lower:
            return list(tool.lower)
        feed = self._feed(tool.plunge_speed or tool.speed)
        depth = (tool.depth or 0.0) if trial_depth is None else trial_depth
        return [f"G1 Z{self.numbers.length(self.output.surface - depth)}{feed}"]

    def _lift(self, height: float | None = None) -> list[str]:
        tool = self._held()
        self.is_down = False
        if tool.lift:
            return list(tool.lift)
        return [self.raising if height is None else self._raising(height)]

    def _raising(self, height: float) -> str:
        return f"G0 Z{self.numbers.length(self.output.surface + height)}"

    def _turn(self, heading: float) -> str:
        """Turn the blade standing still: in the cloth at the axis's speed, degrees a minute."""
        motion = self.profile.motion
        word = f"{motion.turning_axis}{self.numbers.plain(math.degrees(heading))}"
        if not self.is_down:
            return f"G0 {word}"
        self.feed = feed_word(motion.turn_speed)
        return f"G1 {word}{self.feed}"

    def _follow(self, move: Follow, places: Ints) -> list[str]:
        chain = move.chain
        if self.at is None or not self.is_down:
            raise ValueError("a tool is led only after it travelled there and was lowered")
        feed = self._feed(move.speed or self._held().speed)
        if move.headings is not None:
            lines = self._turned(chain, places, move.headings)
        elif self.output.arcs and chain.bulges.any():
            lines = self._curved(chain, places)
        else:
            lines = self._straight(places)
        if lines and feed:
            lines[0] += feed
        return lines

    def _all_chords(self, chain: Chain) -> Floats:
        return chord_points(chain, self.output.chord_tolerance)

    def _straight(self, places: Ints) -> list[str]:
        steps = steps_from(self._here(), places)
        if steps:
            self.at = steps[-1]
        digits, counts = self.numbers.decimals, self.numbers.counts
        return [f"G1 X{x / counts:.{digits}f} Y{y / counts:.{digits}f}" for x, y in steps]

    def _turned(self, chain: Chain, places: Ints, along: Floats) -> list[str]:
        """Write segment by segment, each with where the blade points at its end."""
        lines: list[str] = []
        axis = self.profile.motion.turning_axis
        joints = places if self.output.arcs else on_grid(chain.points, self.scale)
        for index in range(len(chain)):
            part = segment(chain, index)
            ends = joints[index : index + 2]
            first, last = np.degrees(along[index])
            curved = self.output.arcs and bool(part.bulges[0])
            steps = self._curved(part, ends) if curved else self._chorded(part)
            # Where an arc goes out as chords the blade turns evenly over them.
            for number, step in enumerate(steps, start=1):
                degrees = first + (last - first) * number / len(steps)
                lines.append(f"{step} {axis}{self.numbers.plain(degrees)}")
        return lines

    def _chorded(self, part: Chain) -> list[str]:
        return self._straight(on_grid(self._chords_of(part), self.scale))

    def _chords_of(self, part: Chain) -> Floats:
        """Give the points of one segment; for a turned blade no chord is far off the arc's way."""
        tolerance = self.output.chord_tolerance
        if self._held().turned and part.bulges.any():
            radius = float(arc_geometry(part)[1][0])
            tolerance = min(tolerance, radius * (1 - math.cos(_OFF_WAY)))
        return chord_points(part, tolerance)

    def _curved(self, chain: Chain, places: Ints) -> list[str]:
        """Write lines as lines, arcs as arcs where they stand rounding, else as chords."""
        offsets, sound = self._centre_offsets(places, chain.bulges)
        flat = _is_flat(places / self.scale, chain.bulges, self.numbers.short)
        lines: list[str] = []
        number = self.numbers.counted
        for index, bulge in enumerate(chain.bulges.tolist()):
            x, y = places[index + 1].tolist()
            if flat[index]:
                if (x, y) != self.at:
                    lines.append(f"G1 X{number(x)} Y{number(y)}")
            elif sound[index]:
                i, j = offsets[index].tolist()
                word = "G3" if bulge > 0 else "G2"
                lines.append(f"{word} X{number(x)} Y{number(y)} I{number(i)} J{number(j)}")
            else:
                lines += self._chorded(segment(chain, index))
            self.at = (x, y)
        return lines

    def _centre_offsets(self, places: Ints, bulges: Floats) -> tuple[Ints, Bools]:
        """Give I and J of each arc between rounded places, and whether the arc rule holds."""
        points = places / self.scale
        same = (places[1:] == places[:-1]).all(axis=1)
        bent = np.where(same, 0.0, bulges)
        centers = arc_geometry(Chain(points, bent, np.full((len(bent), 2, 2), np.nan), False))[0]
        exact = np.nan_to_num(centers - points[:-1], nan=0.0, posinf=0.0, neginf=0.0)
        near = np.abs(exact).max(axis=1) < _FARTHEST
        offsets = on_grid(np.where(near[:, None], exact, 0.0), self.scale)
        rounded = offsets / self.scale
        ends = np.diff(points, axis=0) - rounded
        miss = np.abs(np.hypot(*rounded.T) - np.hypot(*ends.T))
        return offsets, near & (miss <= self.numbers.radius_miss)

    def _here(self) -> Place:
        if self.at is None:
            raise ValueError("the machine's place is not known")
        return self.at

    def _held(self) -> Tool:
        if self.tool is None:
            raise ValueError("no tool is selected")
        return self.tool

    def _feed(self, speed: float | None) -> str:
        """Give the feed word where it changes."""
        word = self.numbers.feed(speed or 0.0)
        if word == self.feed:
            return ""
        self.feed = word
        return word

    def _waiting(self, seconds: float) -> str:
        plain = self.numbers.plain
        return self.output.dwell.format(seconds=plain(seconds), milliseconds=plain(seconds * 1000))


def _with_units(modes: str, units: str) -> str:
    """Put the word for the units among the modes, behind that for the plane."""
    words = modes.split()
    words.insert(1 if words[0] == "G17" else 0, units)
    return " ".join(words)


def _joints(chain: Chain) -> Floats:
    return chain.points


def _is_flat(points: Floats, bulges: Floats, short: float) -> list[bool]:
    """Tell which segments are lines, or bend too little to matter."""
    chords = np.hypot(*np.diff(points, axis=0).T)
    flat: list[bool] = ((np.abs(bulges) * chords / 2 < _FLAT) | (chords < short)).tolist()
    return flat
