"""What a file must keep to besides the line: the bed, the tools' order, the tool up at the end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import bounds, length, tangents
from cutpath.geometry.points import Floats
from cutpath.geometry.swept import lengths_inside
from cutpath.moves import Reading
from cutpath.replay.comparing import Asked, Comparison
from cutpath.replay.edges import ends_of
from cutpath.replay.happening import Happening
from cutpath.replay.on_cloth import AskedAdvances, merged

_ROUNDING = 0.05  # mm beyond the bed that a coordinate's rounding may come to
_MOST_TURNED = math.radians(2.0)
_NO_WAY = 0.01  # mm; shorter segments have the direction of their rounding
_WAIT_ROUNDING = 0.006  # s; two decimals are the fewest that a file's numbers have

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Check:
    """One check: its name, whether it holds, and in words what was found."""

    name: str
    holds: bool
    found: str


def check_envelope(reading: Reading, bed: Box, name: str = "inside the bed") -> Check:
    """Check that strokes and travel stay in ``bed`` (min x, min y, max x, max y; machine mm)."""
    chains = [stroke.chain for stroke in reading.strokes] + list(reading.travel)
    if not chains:
        return Check(name, True, "nothing moves")
    boxes = np.array([bounds(chain) for chain in chains])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    inside = bool(
        (low >= np.array(bed[:2]) - _ROUNDING).all()
        and (high <= np.array(bed[2:]) + _ROUNDING).all()
    )
    words = f"x {low[0]:.2f} to {high[0]:.2f}, y {low[1]:.2f} to {high[1]:.2f} mm"
    limits = f"bed x {bed[0]:.2f} to {bed[2]:.2f}, y {bed[1]:.2f} to {bed[3]:.2f} mm"
    return Check(name, inside, words if inside else f"{words}; {limits}")


def check_order(reading: Reading, order: Sequence[int]) -> Check:
    """Check that tools work in ``order`` (numbers), each picked once before it works."""
    worked: list[int] = []
    for stroke in reading.strokes:
        if not worked or worked[-1] != stroke.tool:
            worked.append(stroke.tool)
    holds = worked == list(order)
    return Check("tools in order", holds, _numbers(worked) if holds else _unlike(worked, order))


def _unlike(worked: Sequence[int], order: Sequence[int]) -> str:
    return f"{_numbers(worked)} instead of {_numbers(order)}"


def _numbers(tools: Sequence[int]) -> str:
    return "tools " + ", ".join(str(tool) for tool in tools) if tools else "no tool"


def check_end(reading: Reading, put_away: int | None) -> Check:
    """Check that the tool is up at the end, and that ``put_away`` is in hand (None: any)."""
    if not reading.is_up_at_end:
        return Check("tool up at the end", False, "the file ends with the tool down")
    if put_away is not None and reading.tool_at_end != put_away:
        found = f"tool {reading.tool_at_end} stays in hand, {put_away} expected"
        return Check("tool up at the end", False, found)
    return Check("tool up at the end", True, "up")


def check_travel(reading: Reading, compared: Sequence[Comparison]) -> Check:
    """Check that every travel goes with the tool up: no stroke leaves what was asked of its tool.

    A travel made with the tool down is a stroke off the line, or joins two strokes into one.
    """
    for tool in compared:
        if tool.cut_to_asked > tool.asked.tolerance:
            found = f"{tool.asked.name} works {_distance(tool.cut_to_asked)} off its lines"
            return Check("tool up while travelling", False, found)
        wanted = len(tool.asked.chains) if tool.asked.strokes is None else tool.asked.strokes
        if tool.strokes < wanted:
            found = f"{tool.asked.name} goes down {tool.strokes} times, {wanted} expected"
            return Check("tool up while travelling", False, found)
    way = sum(float(np.hypot(*(run.last - run.first))) for run in reading.travel)
    return Check("tool up while travelling", True, f"{way:.0f} mm of travel")


def check_coverage(compared: Sequence[Comparison]) -> Check:
    """Check that all that was asked is done, no oftener than asked, closed lines to their end."""
    for tool in compared:
        name = tool.asked.name
        wanted = len(tool.asked.chains) if tool.asked.strokes is None else tool.asked.strokes
        if tool.asked_to_cut > tool.asked.tolerance:
            place = _at(tool)
            found = f"{name} stays {_distance(tool.asked_to_cut)} off a line it should work{place}"
            return Check("all lines done", False, found)
        if tool.strokes != wanted:
            found = f"{name} makes {tool.strokes} strokes, {wanted} expected"
            return Check("all lines done", False, found)
        if tool.gaping:
            x, y = tool.gaping[0]
            found = f"{name} does not close {len(tool.gaping)} outlines, first at {x:.2f}, {y:.2f}"
            return Check("all lines done", False, found)
    total = sum(tool.strokes for tool in compared)
    return Check("all lines done", True, f"{total} strokes")


def check_waste(
    tips: Reading, asked: Sequence[Asked], outlines: Sequence[Chain], openings: Sequence[Chain]
) -> Check:
    """Check that what tools cut before and after their lines lies in no piece."""
    name = "extra cuts in the waste"
    total = 0.0
    for tool in asked:
        if not any(tool.spare):
            continue
        strokes = [stroke.chain for stroke in tips.strokes if stroke.tool == tool.number]
        extra = [end for run in strokes for end in ends_of(run, *tool.spare)]
        depths = lengths_inside(extra, tool.chains, outlines, openings, tool.tolerance)
        for run, inside in zip(extra, depths, strict=True):
            if inside > tool.tolerance:
                x, y = run.first
                found = f"{tool.name} cuts {inside:.2f} mm into a piece near {x:.2f}, {y:.2f}"
                return Check(name, False, f"{found}; lay pieces farther apart or shorten it")
            total += length(run)
    return Check(name, True, f"{total:.0f} mm")


def check_turning(reading: Reading, turned: Sequence[int], step: float = 0.0) -> Check:
    """Check that blades on a turning axis point along their way, within 2°.

    ``step`` mm is that of the file's numbers: by so much the ends of each way are rounded.
    """
    name, worst = "blade along the line", 0.0
    for stroke in reading.strokes:
        if stroke.tool not in turned or stroke.headings is None:
            continue
        off = _turned_off(stroke.chain, stroke.headings, step)
        if off > _MOST_TURNED:
            where = f"the stroke that begins in line {stroke.place}"
            found = f"tool {stroke.tool} points {math.degrees(off):.1f}° off its way in {where}"
            return Check(name, False, found)
        worst = max(worst, off)
    return Check(name, True, f"{math.degrees(worst):.2f}° off at most")


def _turned_off(chain: Chain, headings: Floats, step: float) -> float:
    """Give how far, radians, a blade is off its way at worst, more than rounding turns that."""
    size = np.hypot(*(chain.ends - chain.starts).T)
    rows = np.flatnonzero(size > max(_NO_WAY, 2 * step))
    ways = np.stack([tangents(chain, rows, np.full(len(rows), end)) for end in (0.0, 1.0)], axis=1)
    off = np.arctan2(ways[..., 1], ways[..., 0]) - headings[rows]
    off -= 2 * np.pi * np.rint(off / (2 * np.pi))
    # Each end is off by half of a step along both axes at most.
    rounded = np.arctan(math.sqrt(2) * step / size[rows])
    return float((np.abs(off) - rounded[:, None]).max(initial=0.0))


def check_play(happening: Happening) -> Check:
    """Check that the play of each axis is taken up before a tool is lowered, whatever it was."""
    name = "play taken up"
    if happening.unsure is None:
        return Check(name, True, "before each stroke")
    stroke = happening.reading.strokes[happening.unsure]
    found = f"tool {stroke.tool} is lowered where an axis may still have play, at {stroke.place}"
    return Check(name, False, found)


def check_waits(reading: Reading, wanted: Sequence[float]) -> Check:
    """Check that the machine stands still as long as all that was ``wanted``, s, comes to."""
    total = sum(wanted)
    holds = abs(reading.waited - total) <= _WAIT_ROUNDING * (1 + len(wanted))
    found = f"{reading.waited:.1f} s"
    return Check("waits as asked", holds, found if holds else f"{found} instead of {total:.1f} s")


def check_advances(reading: Reading, asked: AskedAdvances) -> Check:
    """Check that the cloth moves as far as asked before each frame, with the tool up."""
    name = "cloth advances"
    found = [*merged(reading.advances)]
    down = next((each for each in found if not each.is_up), None)
    if down is not None:
        return Check(name, False, f"the tool is down in line or byte {down.place}")
    if len(found) != len(asked.distances):
        return Check(name, False, f"{len(found)} of them, {len(asked.distances)} expected")
    goes = [each.distance * asked.scale for each in found]
    off = np.abs(np.cumsum(goes) - np.cumsum(asked.distances))
    if (off > asked.tolerance).any():
        worst = int(np.argmax(off > asked.tolerance))
        words = (
            f"advance {worst + 1} goes {goes[worst]:.3f} mm, {asked.distances[worst]:.3f} expected"
        )
        return Check(name, False, words)
    words = ", ".join(f"{mm:.2f}" for mm in goes) + " mm" if goes else "none"
    return Check(name, True, words)


def _distance(mm: float) -> str:
    return f"{mm:.3f} mm" if math.isfinite(mm) else "wholly"


def _at(tool: Comparison) -> str:
    return "" if tool.worst_at is None else f", at {tool.worst_at[0]:.2f}, {tool.worst_at[1]:.2f}"
