"""What a pattern's files do, read back from their bytes, on a machine with or without faults.

The machine here knows the files alone: told places are read from the bytes, the carriage follows
with its play, and a blade's tip is followed behind its pivot. What a hand would measure is taken
from those lines, at the places that the page shows.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from cutpath.bench.pattern_model import Gauge
from cutpath.geometry.chain import Chain, polyline
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Point
from cutpath.geometry.transform import moved_points
from cutpath.moves import Reading
from cutpath.patterning import Patterned, PatternFile
from cutpath.replay.tip import Blade
from cutpath.settings.profile import Profile

STEP = 0.25
"""mm from point to point of a way, so that play is followed within it."""


@dataclass(frozen=True)
class Line:
    """One line on the cloth, machine coordinates: by which tool, its points, how it was met.

    ``came`` is the way of the tool before it was lowered.
    """

    tool: str
    points: Floats
    came: Point

    @property
    def length(self) -> float:
        """Give the distance of its ends."""
        return float(np.hypot(*(self.points[-1] - self.points[0])))


@dataclass(frozen=True)
class Faults:
    """A machine's true faults."""

    x_scale: float = 1.0
    y_scale: float = 1.0
    skew: float = 0.0
    play: tuple[float, float] = (0.0, 0.0)
    advance_scale: float = 1.0
    offsets: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    trails: Mapping[str, float] = field(default_factory=dict)

    @property
    def matrix(self) -> Floats:
        """Give carriage places to real ones, 2 × 2."""
        y = self.y_scale
        return np.array([[self.x_scale, y * math.sin(self.skew)], [0.0, y * math.cos(self.skew)]])


def ways_of(reading: Reading) -> Iterator[tuple[int | None, Chain]]:
    """Give all ways in the order they are gone: the tool's number, or None in the air."""
    strokes, travels = list(reading.strokes), list(reading.travel)
    was_down = False
    at = np.zeros(2)
    while strokes or travels:
        here = bool(strokes) and np.allclose(strokes[0].chain.first, at, atol=1e-9)
        goes = bool(travels) and np.allclose(travels[0].first, at, atol=1e-9)
        if here and not (was_down and goes):
            stroke = strokes.pop(0)
            at, was_down = stroke.chain.last, True
            yield stroke.tool, stroke.chain
        else:
            assert goes, "ways do not hang together"
            travel = travels.pop(0)
            at, was_down = travel.last, False
            yield None, travel


def lines_of(file: PatternFile, profile: Profile, faults: Faults | None = None) -> list[Line]:
    """Give the lines that a machine with these ``faults`` makes of the file's bytes."""
    faults = faults or Faults()
    names = {tool.number: name for name, tool in profile.tools.items()}
    blades = {
        name: Blade(faults.trails.get(name, 0.0), tool.first_heading)
        for name, tool in profile.tools.items()
    }
    half = np.array(faults.play) / 2
    carriage, out, came, tool_in_hand = np.zeros(2), [], np.zeros(2), ""
    for number, chain in ways_of(file.written.told):
        # In the air only the ends matter: straight ways go one way along each axis.
        told = chain.points if number is None else _dense(chain)
        carried = np.empty_like(told)
        for row, place in enumerate(told):
            carriage = np.minimum(np.maximum(carriage, place - half), place + half)
            carried[row] = carriage
        if number is None:
            came = chain.last - chain.first
            continue
        tool_in_hand = names[number]
        real = carried @ faults.matrix.T + np.array(faults.offsets.get(tool_in_hand, (0.0, 0.0)))
        if faults.trails.get(tool_in_hand):
            moves = np.append(True, np.hypot(*np.diff(real, axis=0).T) > 1e-9)
            real = blades[tool_in_hand].follow(polyline(real[moves])).points
        out.append(Line(tool_in_hand, real, came))
    return out


def _dense(chain: Chain) -> Floats:
    points = flatten(chain, 0.0005).points
    if chain.closed:
        points = np.concatenate([points, points[:1]])
    parts = [points[:1]]
    for a, b in pairwise(points):
        count = max(1, math.ceil(float(np.hypot(*(b - a))) / STEP))
        share = np.arange(1, count + 1)[:, None] / count
        parts.append(a + share * (b - a))
    return np.concatenate(parts)


def spot(gauge: Gauge, profile: Profile, end: int = 0) -> Point:
    """Give where the page says to measure, machine coordinates."""
    place: Point = moved_points(gauge.ends[end][None], profile.bed_to_machine())[0]
    return place


@dataclass(frozen=True)
class Ticks:
    """One row of a vernier: where its ticks stand along the way it is read, zero in the middle."""

    stations: Floats
    came: Floats


def vernier_at(
    lines: list[Line], zero: Point, axis: int, slide_tool: str = "", shift: float = 40.0
) -> tuple[Ticks, Ticks]:
    """Give the scale and the slide about ``zero``, read along ``axis`` (0 x, 1 y).

    Rows are told by their tool, or by the side that they lie on.
    """
    up = 1 - axis
    rows: tuple[list[tuple[float, float, float]], ...] = ([], [])
    for line in lines:
        if (
            abs(line.points[0, axis] - zero[axis]) > shift
            or abs(line.points[0, up] - zero[up]) > 16
        ):
            continue
        middle = (line.points[0] + line.points[-1]) / 2
        way = line.points[-1] - line.points[0]
        # The short tick before a row is not read.
        if line.length < 5.0 or line.length > 14.5 or abs(way[axis]) > 0.2 * line.length:
            continue
        is_slide = line.tool == slide_tool if slide_tool else middle[up] > zero[up]
        # The later half, where a trailing blade runs straight, drawn on to the zero's line.
        half, end = line.points[len(line.points) // 2], line.points[-1]
        share = (zero[up] - end[up]) / (half[up] - end[up])
        station = float(end[axis] + share * (half[axis] - end[axis]))
        rows[int(is_slide)].append((station, line.length, float(line.came[axis])))
    return _ticks(rows[0]), _ticks(rows[1])


def _ticks(row: list[tuple[float, float, float]]) -> Ticks:
    row = sorted(row)
    zero = max(range(len(row)), key=lambda k: row[k][1])
    assert zero == len(row) // 2, f"the longest of {len(row)} ticks is number {zero}"
    return Ticks(np.array([each[0] for each in row]), np.array([each[2] for each in row]))


def read_vernier(scale: Ticks, slide: Ticks) -> float:
    """Read a vernier as the page says: coarse by the zero, fine by the ticks that meet, to 0.05."""
    middle = len(scale.stations) // 2
    zero = slide.stations[len(slide.stations) // 2]
    coarse = 2.0 * (int(np.abs(scale.stations - zero).argmin()) - middle)
    gaps = np.abs(slide.stations[:, None] - scale.stations[None]).min(axis=1)
    best = int(gaps.argmin())
    beside = [k for k in (best - 1, best + 1) if 0 <= k < len(gaps)]
    second = min(beside, key=lambda k: gaps[k])
    number = best - len(gaps) // 2
    half = 0.5 * (second - best) if gaps[second] - gaps[best] < 0.05 else 0.0
    return coarse + 0.1 * (number + half)


def crossings(lines: list[Line]) -> list[Point]:
    """Give where lines along x and lines along y cross in their middles."""
    along: tuple[list[Line], list[Line]] = ([], [])
    for line in lines:
        way = np.abs(line.points[-1] - line.points[0])
        if line.length > 14 and way.min() < 0.1 * way.max():
            along[int(way.argmax())].append(line)
    out = []
    for across in along[0]:
        for up in along[1]:
            a = (across.points[0] + across.points[-1]) / 2
            b = (up.points[0] + up.points[-1]) / 2
            if np.hypot(*(a - b)) < 3:
                out.append(_meet(across.points[[0, -1]], up.points[[0, -1]]))
    return out


def _meet(one: Floats, two: Floats) -> Point:
    a, b = one[1] - one[0], two[1] - two[0]
    share = np.linalg.solve(np.column_stack([a, -b]), two[0] - one[0])
    return np.asarray(one[0] + share[0] * a)


def all_lines(made: Patterned, faults: Faults | None = None) -> list[Line]:
    """Give the lines of all files, lettering left out, those of a second frame moved back."""
    out: list[Line] = []
    profile = made.pattern.profile
    for number, file in enumerate(made.files):
        lines = lines_of(file, profile, faults)
        letters = sum(path.feature.value == "lettering" for path in file.toolpaths)
        lines = lines[letters:]
        for each in file.written.told.advances:
            # A machine that moves the cloth itself: the lines after it lie farther on.
            way = profile.run_in_machine() * each.distance * (faults or Faults()).advance_scale
            first = each.strokes - letters
            moved = [replace(line, points=line.points + way) for line in lines[first:]]
            lines = lines[:first] + moved
        if number:
            told = _advance_of(made) / profile.compensation.advance_scale
            way = profile.run_in_machine() * told * (faults or Faults()).advance_scale
            lines = [replace(line, points=line.points + way) for line in lines]
        out += lines
    return out


def _advance_of(made: Patterned) -> float:
    told = str(made.pattern.settings["advance"])
    return float(told.removesuffix(" mm"))
