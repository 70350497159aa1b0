"""A grid of one small shape, faster row by row and harder or deeper column by column."""

from __future__ import annotations

import math

import numpy as np

from cutpath.bench.choosing import LINES, chosen, pen_of
from cutpath.bench.form_values import lengths, parsed_lengths, parsed_numbers
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import hand_of
from cutpath.bench.pattern_model import FormValue, Frame, Gauge, Label, Pattern, Wish
from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, arc, joined, line
from cutpath.geometry.points import Point
from cutpath.model import Role, Toolpath, Trial
from cutpath.settings.profile import DEFAULT_SPEED, Language, Profile, Tool

_CELL = 26.0
_EDGE = 18.0
_SPEEDS = (0.4, 0.7, 1.0, 1.3, 1.6)
_FORCES = (0.5, 0.75, 1.0, 1.25, 1.5)
_DEPTHS = (0.4, 0.6, 0.8, 1.0)
"""Shares of what the profile says; never deeper than it says."""


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern; ``wish.values`` are "speeds / forces or depths", either part may miss."""
    name = chosen(profile, wish.tool or _usual_tool(profile), LINES, "a tool that leaves a line")
    tool = profile.tools[name]
    kind, speeds, columns = _ladder(profile, tool, wish.values)
    size = (_EDGE + _CELL * max(len(columns), 1), _EDGE + _CELL * len(speeds))
    room_for(ground, wish.size, size, size)
    hand = hand_of(profile, ground, name, "ladder")
    strokes: list[Toolpath] = []
    labels: list[Label] = []
    for row, speed in enumerate(speeds):
        labels.append(Label(f"{row + 1}: {speed:g}", _at(0, row) + np.array([-12.0, 8.0]), 3.0))
        for column in range(max(len(columns), 1)):
            value = columns[column] if columns else None
            force = round(value) if value is not None and kind == "force" else None
            depth = value if kind == "depth" else None
            trial = Trial(speed=speed, force=force, depth=depth)
            strokes.append(hand.stroke(_shape(_at(column, row)), trial))
    letters = [chr(ord("A") + column) for column in range(max(len(columns), 1))]
    for column, letter in enumerate(letters):
        text = f"{letter}: {columns[column]:g}" if columns else letter
        labels.append(Label(text, _at(column, 0) + np.array([8.0, -6.0]), 3.0))
    return Pattern(
        name="ladder",
        title="Speed" if not columns else f"Speed and {kind}",
        finds=f"which {'speed' if not columns else f'speed and {kind}'} makes clean lines",
        profile=profile,
        frames=(Frame("", tuple(strokes), tuple(labels) if pen_of(profile) else ()),),
        gauges=(_best(letters, len(speeds)),),
        instruments=("a loupe", "the cloth or film that you will cut, on its mat"),
        steps=(
            f"Run the file: rows (along y) at {_row_words(speeds)} mm/s"
            + (f"; columns (along x) {_column_words(letters, columns, kind)}." if columns else "."),
            _look_words(tool, bool(columns)),
            "Write its letter and number into the form, like B3. Take a cell whose neighbours are "
            "good too, rather than the last that just works.",
        ),
        settings=_settings(name, kind, speeds, columns),
        uncertainty=0.0,
        cautions=(f"Go up in {kind} step by step: too much cuts the mat and the bed.",)
        * bool(columns),
    )


def _look_words(tool: Tool, has_columns: bool) -> str:
    first = "the lightest column whose line is even; then for "
    clean = "the line has no gap"
    if tool.role is not Role.PEN:
        first = "the lightest column that is cut through all round and spares the mat; then for "
        clean = "no thread is pulled"
    return (
        f"Look for {first if has_columns else ''}the fastest row in which corners are sharp, the "
        f"round end is round, and {clean}."
    )


def _settings(
    name: str, kind: str, speeds: tuple[float, ...], columns: tuple[float, ...]
) -> dict[str, FormValue]:
    told: FormValue = lengths(columns) if kind == "depth" else columns
    return {"tool": name, "rows": speeds, "column": kind, "columns": told}


def _best(letters: list[str], rows: int) -> Gauge:
    words = f"best cell, {letters[0]}1 to {letters[-1]}{rows}"
    middle = _at((len(letters) - 1) // 2, (rows - 1) // 2) + np.array([8.0, 8.0])
    return Gauge("best", "?", words, (middle,), None, asked="letter and number")


def _usual_tool(profile: Profile) -> str:
    """Give the knife, where there is one: that is the tool to tune."""
    return next((name for name, t in profile.tools.items() if t.role is Role.KNIFE), "")


def _ladder(
    profile: Profile, tool: Tool, values: str
) -> tuple[str, tuple[float, ...], tuple[float, ...]]:
    """Give what columns tell ("force", "depth", "none"), the speeds of rows and the columns."""
    kind = "none"
    if profile.language is not Language.RS274:
        kind = "force"
    elif tool.depth is not None and not tool.lower:
        kind = "depth"
    first, _, second = values.partition("/")
    own = tool.speed or DEFAULT_SPEED
    speeds = tuple(dict.fromkeys(_rounded(own * share, 5.0) for share in _SPEEDS))
    if first.strip():
        speeds = parsed_numbers(first, 1.0, 10_000.0, "speeds (mm/s)")
    if second.strip() and kind == "none":
        raise InputError(
            "--values: this tool's force and depth are not in the file",
            remedy="Give speeds alone: 100,200,300.",
        )
    if second.strip() and kind == "force":
        return kind, speeds, _whole(parsed_numbers(second, 0, 32_767, "forces"))
    if second.strip():
        return kind, speeds, parsed_lengths(second, 0.05, 50.0, "depths")
    if kind == "force" and tool.force:
        force = tool.force
        return (
            kind,
            speeds,
            tuple(dict.fromkeys(float(max(1, round(force * share))) for share in _FORCES)),
        )
    if kind == "depth" and tool.depth is not None:
        depth = tool.depth
        return kind, speeds, tuple(round(depth * share, 2) for share in _DEPTHS)
    return "none", speeds, ()


def _whole(forces: tuple[float, ...]) -> tuple[float, ...]:
    if any(force != round(force) for force in forces):
        raise InputError("--values: forces are whole numbers", remedy="Write them like 10,15,20.")
    return forces


def _rounded(value: float, step: float) -> float:
    return max(step, round(value / step) * step)


def _at(column: int, row: int) -> Point:
    return np.array([_EDGE + _CELL * column, _EDGE + _CELL * row])


def _shape(at: Point) -> Chain:
    """Give one shape: a straight, a square corner, a round end, a sharp corner."""
    foot, corner, round_end, tip = (
        at + np.array(way) for way in ((14.0, 0.0), (14.0, 8.0), (4.0, 8.0), (9.0, 4.0))
    )
    head = arc((round_end + corner) / 2, 5.0, 0.0, math.pi)
    return joined([line(at, foot), line(foot, corner), head, line(round_end, tip)])


def _row_words(speeds: tuple[float, ...]) -> str:
    return ", ".join(f"{speed:g}" for speed in speeds)


def _column_words(letters: list[str], columns: tuple[float, ...], kind: str) -> str:
    unit = "force step " if kind == "force" else ""
    after = "" if kind == "force" else " mm deep"
    return ", ".join(
        f"{letter} {unit}{value:g}{after}" for letter, value in zip(letters, columns, strict=True)
    )
