"""A mark over a known point of what was done, by which the operator sees that nothing has moved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import MachineError
from cutpath.geometry.chain import Chain, line
from cutpath.geometry.points import Point, turn_between
from cutpath.machine.motion import moves_for
from cutpath.model import Feature, Pause, Role, Toolpath, Trial
from cutpath.run_model import RunStroke
from cutpath.settings.profile import Language, Profile

_ARM = 3.0
"""mm from the middle of the cross to its ends."""
_LOOK = 3.0
"""Seconds that a machine that can wait stands over the point."""
_PIECE = ""
_LATEST = 4
"""How many strokes of the pen, and of other tools, are tried."""


@dataclass(frozen=True, slots=True, eq=False)
class CheckMark:
    """Its strokes, and in words what must be seen."""

    paths: tuple[Toolpath, ...]
    words: str


def check_mark(done: Sequence[Toolpath], coming: RunStroke, profile: Profile) -> CheckMark | None:
    """Give the mark, over the latest of ``done`` that a tool comes to; None where none does.

    A pen draws a small cross askew over the point, one that it drew itself before others. Otherwise
    the tool that comes next goes and stands there, up.
    """
    latest = [path for path in done if path.role is Role.PEN][: -_LATEST - 1 : -1]
    latest += [path for path in done if path.role is not Role.PEN][: -_LATEST - 1 : -1]
    marks = [_drawn(path) for path in latest if _has_pen(profile)]
    marks += [_dry(path, coming, profile) for path in latest]
    return next((mark for mark in marks if _is_in_reach(mark, profile)), None)


def _drawn(path: Toolpath) -> CheckMark:
    strokes = _cross(known_point(path))
    paths = tuple(Toolpath(Role.PEN, Feature.CHECK, _PIECE, stroke) for stroke in strokes)
    return CheckMark(paths, f"the new cross must lie on {_seen(path)}")


def _dry(path: Toolpath, coming: RunStroke, profile: Profile) -> CheckMark:
    point = known_point(path)
    seconds = _LOOK if profile.language is Language.RS274 else 0.0
    dry = Toolpath(
        coming.toolpath.role,
        Feature.CHECK,
        _PIECE,
        line(point, point),
        Pause(point, seconds),
        Trial(tool=coming.tool),
    )
    return CheckMark((dry,), f"the tool, up, must stand over {_seen(path)}")


def _is_in_reach(mark: CheckMark, profile: Profile) -> bool:
    try:
        moves_for(mark.paths, profile)
    except MachineError:
        return False
    return True


def known_point(path: Toolpath) -> Point:
    """Give a point that is easy to find: the sharpest corner of a loop, the end of a stroke.

    Of a check mark made before it is the middle.
    """
    chain = path.chain
    if path.feature is Feature.CHECK:
        middle: Point = chain.points.mean(axis=0)
        return middle
    if not chain.closed or len(chain) < 3:
        return chain.last
    legs = chain.ends - chain.starts
    turns = np.abs(turn_between(np.roll(legs, 1, axis=0), legs))
    # Between arcs a corner of chords is none.
    bent = (chain.bulges != 0) | (np.roll(chain.bulges, 1) != 0)
    corner: Point = chain.starts[int(np.argmax(np.where(bent, turns / 10, turns)))]
    return corner


def _has_pen(profile: Profile) -> bool:
    try:
        profile.tool_name_for(Role.PEN, Feature.CHECK)
    except MachineError:
        return False
    return True


def _cross(point: Point) -> tuple[Chain, Chain]:
    """Give two strokes at 45°, so that they differ from the crosses of marks."""
    arm = _ARM / np.sqrt(2)
    up, down = np.array([arm, arm]), np.array([arm, -arm])
    return line(point - up, point + up), line(point - down, point + down)


def _seen(path: Toolpath) -> str:
    x, y = known_point(path).tolist()
    if path.feature is Feature.CHECK:
        what = "the point it stood over before" if path.is_dry else "the cross drawn before"
    else:
        part = "a corner" if path.chain.closed else "the end"
        what = f"{part} of the {path.feature.value} of {path.piece}"
    return f"{what}, at x {x:.1f}, y {y:.1f} mm"
