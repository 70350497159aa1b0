"""A technician's hand: measures a pattern's lines where its page says, and fills the form in."""

from __future__ import annotations

import math
import re

import numpy as np

from cutpath.bench.pattern_model import Gauge
from cutpath.geometry.points import Floats, Point
from cutpath.patterning import Patterned
from tests.bench.read_back import (
    Faults,
    Line,
    all_lines,
    crossings,
    read_vernier,
    spot,
    vernier_at,
)

DIAGONALS = np.array([[1, 1], [1, -1]]) * math.sqrt(0.5)


def measured(made: Patterned, faults: Faults) -> dict[str, float]:
    """Give what is read off the pattern that a machine with these ``faults`` makes, mm, by key.

    Keys of several tools are written ``tool.key``.
    """
    lines = all_lines(made, faults)
    if made.pattern.name == "scale":
        found = np.array(crossings(lines))
        return {gauge.key: _between(found, gauge, made) for gauge in made.pattern.gauges}
    out = {}
    for gauge in made.pattern.gauges:
        key = f"{gauge.tool}.{gauge.key}" if gauge.tool else gauge.key
        value = _one(lines, gauge, made)
        if value is not None:
            out[key] = value
    return out


def _one(lines: list[Line], gauge: Gauge, made: Patterned) -> float | None:
    name, at = made.pattern.name, spot(gauge, made.profile)
    if name in {"backlash", "tools"}:
        axis = "xy".index(gauge.key.removeprefix("d")[0])
        return read_vernier(*vernier_at(lines, at, axis, gauge.tool))
    if name == "advance":
        axis = int(np.abs(made.profile.run_in_machine()).argmax())
        way = float(made.profile.run_in_machine()[axis])
        scale, slide = vernier_at(lines, spot(gauge, made.profile, 1), axis)
        return way * read_vernier(scale, slide)
    if name == "drill":
        return _in_window(lines, gauge, at, str(made.pattern.settings["tool"]))
    blade = str(made.pattern.settings["tool"])
    cuts = [line for line in lines if line.tool == blade]
    if gauge.key.startswith("gap"):
        return _gap(cuts, at, "xy".index(gauge.key[4]))
    return _corner(cuts, at) if gauge.key.startswith("corner") else _disc(cuts, at, gauge)


def _between(found: Floats, gauge: Gauge, made: Patterned) -> float:
    ends = [found[np.hypot(*(found - spot(gauge, made.profile, k)).T).argmin()] for k in (0, 1)]
    return math.dist(*ends)


def _in_window(lines: list[Line], gauge: Gauge, at: Point, drill: str) -> float | None:
    if gauge.key == "hole":
        return None
    axis = "xy".index(gauge.key[1])
    middles = [
        (line.points[0] + line.points[-1]) / 2
        for line in lines
        if line.tool != drill and abs((line.points[-1] - line.points[0])[axis]) < 0.1
    ]
    low, high = sorted(float(place[axis]) for place in _nearest_two(middles, at))
    hits = [line.points[0] for line in lines if line.tool == drill]
    hole = np.mean([hit for hit in hits if math.dist(hit, at) < 12], axis=0)
    return float((hole[axis] - low) - (high - hole[axis])) / 2


def _nearest_two(places: list[Point], at: Point) -> list[Point]:
    return sorted(places, key=lambda place: math.dist(place, at))[:2]


def _gap(cuts: list[Line], at: Point, axis: int) -> float:
    """Measure the bridge between the ends of the two slits along ``axis``."""
    ends = []
    for line in cuts:
        way = line.points[-1] - line.points[len(line.points) // 2]
        if abs(way[axis]) > 15 and abs(way[1 - axis]) < 1 and math.dist(line.points[-1], at) < 3:
            ends.append((float(np.sign(way[axis])), float(line.points[-1][axis])))
    (low,) = [end for sign, end in ends if sign > 0]
    (high,) = [end for sign, end in ends if sign < 0]
    return high - low


def _corner(cuts: list[Line], at: Point) -> float:
    """Measure from where the straight runs would meet to the cut, along the halving line."""
    line = min(
        (line for line in cuts if _length(line.points) > 50),
        key=lambda line: float(np.hypot(*(line.points - at).T).min()),
    )
    stations = np.append(0.0, np.cumsum(np.hypot(*np.diff(line.points, axis=0).T)))
    into = line.points[(stations > 12) & (stations < 22)]
    out = line.points[stations > stations[-1] - 8]
    a, b = into[-1] - into[0], out[-1] - out[0]
    share = np.linalg.solve(np.column_stack([a, -b]), out[0] - into[0])
    corner = into[0] + share[0] * a
    halving = b / np.hypot(*b) - a / np.hypot(*a)
    halving /= np.hypot(*halving)
    side = (line.points - corner) @ np.array([-halving[1], halving[0]])
    rows = np.flatnonzero((side[:-1] > 0) != (side[1:] > 0))
    row = min(rows, key=lambda k: math.dist(line.points[k], corner))
    part = side[row] / (side[row] - side[row + 1])
    crossed = line.points[row] + part * (line.points[row + 1] - line.points[row])
    return float((crossed - corner) @ halving)


def _disc(cuts: list[Line], at: Point, gauge: Gauge) -> float:
    """Measure a disc across both diagonals, and give the mean."""
    radius = float(gauge.key.removeprefix("circle_"))
    (ring,) = [
        line
        for line in cuts
        if abs(np.median(np.hypot(*(line.points - at).T)) - radius) < 0.15 * radius
    ]
    from_end = np.hypot(*np.diff(ring.points, axis=0).T)[::-1].cumsum()[::-1]
    across = ring.points[:-1][from_end < 7 * radius] @ DIAGONALS.T
    return float(np.ptp(across, axis=0).mean())


def _length(points: Floats) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def filled(form: str, values: dict[str, dict[str, float]], step: float = 0.05) -> str:
    """Give ``form`` with ``values`` (by pattern, by key) rounded to ``step`` between its quotes."""
    out, pattern, table = [], "", ""
    for line in form.splitlines():
        name = re.match(r'name = "(\w+)"', line)
        head = re.match(r"\[pattern\.readings(?:\.(\w+))?\]", line)
        blank = re.match(r'(\w+) = ""', line)
        if name:
            pattern = name[1]
        if head:
            table = f"{head[1]}." if head[1] else ""
        value = values.get(pattern, {}).get(f"{table}{blank[1]}") if blank else None
        if blank and value is not None:
            told = f'{blank[1]} = "{round(value / step) * step:.2f} mm"'
            line = told + line[len(blank[0]) :]  # noqa: PLW2901
        out.append(line)
    return "\n".join(out) + "\n"
