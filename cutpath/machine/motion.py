"""Toolpaths on the bed to the moves of one machine."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from cutpath.errors import MachineError
from cutpath.geometry.arc_fitting import fit_arcs
from cutpath.geometry.chain import Chain, line, without_short_segments
from cutpath.geometry.measure import bounds
from cutpath.geometry.points import Point, direction
from cutpath.geometry.transform import Matrix, transformed
from cutpath.machine.blade import pivot_path
from cutpath.machine.cuts import Cut, cuts_of
from cutpath.machine.hits import hits
from cutpath.machine.pacing import paced
from cutpath.machine.turning import turned_follows, within_range
from cutpath.model import Pause, Toolpath, Trial
from cutpath.moves import AdvanceCloth, Dwell, Follow, Lift, Lower, Move, SelectTool, Travel, Turn
from cutpath.settings.profile import DEFAULT_SPEED, Profile, Tool

_NOTHING = 1e-6
"""Segments below this, mm, are no segments."""
_ROUNDING = 1e-6


def moves_for(toolpaths: Sequence[Toolpath], profile: Profile) -> tuple[Move, ...]:
    """Give what the machine must do, in machine coordinates, in the order of ``toolpaths``.

    Every toolpath becomes travel, lower, follow, lift (a drill mark: no follow); closed ones end
    with the tool's overcut. The cloth is moved on before one that says so, and stays where it is
    otherwise: each path is in the coordinates of its own frame.

    By what the profile says of the tool, a drag blade's pivot is led so that its tip follows the
    line, a blade is turned by its axis, a knife is lifted at sharp corners and runs past them, a
    cut begins in the waste, a kerf lies beside the line, and a hole is made by many hits.

    Raises MachineError where the profile has no tool for a role or a move leaves the bed, and
    ValueError for cubics.
    """
    return tuple(move for moves in moves_by_toolpath(toolpaths, profile) for move in moves)


def moves_by_toolpath(
    toolpaths: Sequence[Toolpath], profile: Profile
) -> tuple[tuple[Move, ...], ...]:
    """Give the moves of each toolpath, in order: together they are those of ``moves_for``."""
    return tuple(_Planner(profile).moves(toolpaths))


class _Planner:
    """Remembers which tool is held and where each blade points."""

    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.matrix: Matrix = profile.bed_to_machine()
        self.reaches = {name: _reach(profile, tool) for name, tool in profile.tools.items()}
        self.held = ""
        self.headings = {name: tool.first_heading for name, tool in profile.tools.items()}

    def moves(self, toolpaths: Sequence[Toolpath]) -> Iterator[tuple[Move, ...]]:
        for toolpath, chain in zip(toolpaths, self._lines(toolpaths), strict=True):
            yield tuple(self._moves_of(toolpath, chain))

    def _moves_of(self, toolpath: Toolpath, chain: Chain | None) -> Iterator[Move]:
        name = self.profile.tool_name_of(toolpath)
        if name != self.held:
            self.held = name
            yield SelectTool(name)
        if toolpath.advance:
            yield from self._advance(toolpath.advance)
        if toolpath.pause is not None:
            yield from self._wait(toolpath, toolpath.pause)
        if toolpath.is_dry:
            yield Travel(self._at(toolpath.chain.first, toolpath))
        else:
            yield from self._stroke(toolpath, chain, name)

    def _advance(self, distance: float) -> Iterator[Move]:
        """Move the cloth on, in equal parts where it cannot go so far at once."""
        how = self.profile.advance
        if how is None:
            raise MachineError(
                f"'{self.profile.name}' does not move the cloth by itself",
                remedy="Say how it does in [advance] of its profile.",
            )
        parts = 1 if how.longest is None else max(1, math.ceil(distance / how.longest - 1e-9))
        for _ in range(parts):
            yield AdvanceCloth(distance / parts)

    def _wait(self, toolpath: Toolpath, pause: Pause) -> Iterator[Move]:
        """Stand away from the cloth with the tool up."""
        at = transformed(line(pause.at, pause.at), self.matrix).first
        x0, y0, x1, y1 = self.profile.reach()
        if (x0 <= at[0] <= x1) and (y0 <= at[1] <= y1):
            # A tool beside its carriage may not come to every place of the bed: it waits near by.
            x0, y0, x1, y1 = self.reaches[self.held]
            at = np.clip(at, (x0, y0), (x1, y1))
        self._check(at[None], toolpath)
        yield Travel(at)
        if pause.seconds > 0:
            yield Dwell(pause.seconds)

    def _at(self, point: Point, toolpath: Toolpath) -> Point:
        at = transformed(line(point, point), self.matrix).first
        self._check(at[None], toolpath)
        return at

    def _lines(self, toolpaths: Sequence[Toolpath]) -> list[Chain | None]:
        """Give what each toolpath follows, in machine coordinates; None where it stands still."""
        if any(toolpath.chain.is_cubic.any() for toolpath in toolpaths):
            raise ValueError("moves are made of lines and arcs; turn cubics into arcs before")
        found = [
            without_short_segments(transformed(toolpath.chain, self.matrix), _NOTHING)
            for toolpath in toolpaths
        ]
        output = self.profile.output
        if not output.fit_tolerance:
            return found
        going = [chain for chain in found if chain is not None]
        fitted = iter(fit_arcs(going, output.fit_tolerance, arcs=output.arcs))
        return [None if chain is None else next(fitted) for chain in found]

    def _stroke(self, toolpath: Toolpath, chain: Chain | None, name: str) -> Iterator[Move]:
        tool = self.profile.tools[name]
        if chain is None:
            yield from self._plunges(toolpath, tool, name)
            return
        for cut in cuts_of(chain, toolpath.feature, tool):
            yield from self._cut(cut, toolpath, name)

    def _plunges(self, toolpath: Toolpath, tool: Tool, name: str) -> Iterator[Move]:
        places = transformed(toolpath.chain, self.matrix).points[:1]
        if tool.blade_offset:
            places = places + tool.blade_offset * direction(self.headings[name])
        if tool.hole is not None and tool.diameter is not None:
            places = hits(places[0], tool.diameter, tool.hole, tool.tolerance)
        for at in places:
            self._check(at[None], toolpath)
            yield from (Travel(at), Lower())
            if tool.dwell:
                yield Dwell(tool.dwell)
            yield Lift(toolpath.trial.lift_height)

    def _cut(self, cut: Cut, toolpath: Toolpath, name: str) -> Iterator[Move]:
        tool = self.profile.tools[name]
        if tool.turned:
            most = self.profile.motion.turn_range
            for run, heading in within_range(cut.chain, self.headings[name], most):
                self._check(_box(run), toolpath)
                parts, self.headings[name] = turned_follows(run, heading)
                parts = [_at_speed(move, toolpath.trial.speed) for move in parts]
                yield from _follow(run.first, parts, tool, toolpath.trial)
            return
        lead, run = cut.lead, cut.chain
        follows: list[Move] = []
        for part, speed in ((lead, tool.lead_speed), (run, toolpath.trial.speed)):
            if part is None:
                continue
            if tool.blade_offset:
                part, self.headings[name] = pivot_path(  # noqa: PLW2901
                    part, tool.blade_offset, self.headings[name]
                )
            self._check(_box(part), toolpath)
            follows += self._paced(part, tool, speed)
        first = follows[0]
        assert isinstance(first, Follow)
        yield from _follow(first.chain.first, follows, tool, toolpath.trial)

    def _paced(self, run: Chain, tool: Tool, speed: float | None) -> list[Move]:
        """Give ``run`` in parts of one speed each, slower on tight arcs where the file says so."""
        motion = self.profile.motion
        if not motion.feed_by_radius or not run.bulges.any():
            return [Follow(run, speed)]
        return [*paced(run, speed or tool.speed or DEFAULT_SPEED, motion.acceleration)]

    def _check(self, points: Point, toolpath: Toolpath) -> None:
        x0, y0, x1, y1 = self.reaches[self.held]
        low, high = points.min(axis=0), points.max(axis=0)
        over = max(x0 - low[0], y0 - low[1], high[0] - x1, high[1] - y1)
        if over > _ROUNDING:
            bed = self.profile.bed
            raise MachineError(
                f"the {toolpath.feature} of piece '{toolpath.piece}' would take the tool "
                f"{over:.1f} mm off the bed ({bed.width:.0f} × {bed.height:.0f} mm"
                f"{_aside(self.profile.tools[self.held])}): it would be "
                f"at x {low[0]:.1f} … {high[0]:.1f}, y {low[1]:.1f} … {high[1]:.1f} mm",
                remedy="Lay the piece farther in (a wider margin in [bed]), turn it, or use a "
                "machine with a larger bed.",
            )


def _at_speed(move: Move, speed: float | None) -> Move:
    return replace(move, speed=speed) if speed and isinstance(move, Follow) else move


def _reach(profile: Profile, tool: Tool) -> tuple[float, float, float, float]:
    """Give where a tool may be: on the bed, with its carriage on the bed too."""
    (x0, y0, x1, y1), (dx, dy) = profile.reach(), tool.offset
    return max(x0, x0 + dx), max(y0, y0 + dy), min(x1, x1 + dx), min(y1, y1 + dy)


def _aside(tool: Tool) -> str:
    x, y = tool.offset
    return f", less by its offset of {x:g}, {y:g} mm" if x or y else ""


def _box(chain: Chain) -> Point:
    if not chain.bulges.any():
        return chain.points
    x0, y0, x1, y1 = bounds(chain)
    return np.array([[x0, y0], [x1, y1]])


def _follow(first: Point, follows: Iterable[Move], tool: Tool, trial: Trial) -> Iterator[Move]:
    """Give travel, lowering, ``follows`` and the lift; a blade is turned before it is lowered."""
    rest = iter(follows)
    head = next(rest)
    yield Travel(first)
    if isinstance(head, Turn):
        yield head
        head = next(rest)
    yield Lower(trial.force, trial.depth)
    if tool.dwell:
        yield Dwell(tool.dwell)
    yield head
    yield from rest
    yield Lift(trial.lift_height)
