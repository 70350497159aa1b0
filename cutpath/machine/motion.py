"""Toolpaths on the bed to the moves of one machine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from cutpath.errors import MachineError
from cutpath.geometry.chain import Chain, line, without_short_segments
from cutpath.geometry.measure import bounds
from cutpath.geometry.points import Point, direction
from cutpath.geometry.transform import Matrix, transformed
from cutpath.machine.blade import overrun, parted_at_corners, pivot_path
from cutpath.model import (
    Dwell,
    Follow,
    Lift,
    Lower,
    Move,
    Pause,
    Role,
    SelectTool,
    Toolpath,
    Travel,
)
from cutpath.settings.profile import Profile, Tool

_NOTHING = 1e-6
"""Segments below this, mm, are no segments."""
_ROUNDING = 1e-6


def moves_for(toolpaths: Sequence[Toolpath], profile: Profile) -> tuple[Move, ...]:
    """Give what the machine must do, in machine coordinates, in the order of ``toolpaths``.

    Every toolpath becomes travel, lower, follow, lift (a drill mark: no follow); closed ones end
    with the tool's overcut; a drag blade's pivot is led so that its tip follows the line; an
    upright knife with a lift angle is lifted at sharper corners.

    Raises MachineError where the profile has no tool for a role or a move leaves the bed, and
    ValueError for cubics.
    """
    return tuple(_Planner(profile).moves(toolpaths))


class _Planner:
    """Remembers which tool is held and where each drag blade points."""

    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.matrix: Matrix = profile.bed_to_machine()
        self.reach = profile.reach()
        self.held = ""
        self.names: dict[Role, str] = {}
        self.headings = {name: tool.first_heading for name, tool in profile.tools.items()}

    def moves(self, toolpaths: Sequence[Toolpath]) -> Iterator[Move]:
        for toolpath in toolpaths:
            if toolpath.chain.is_cubic.any():
                raise ValueError("moves are made of lines and arcs; turn cubics into arcs before")
            role = toolpath.role
            name = self.names.get(role) or self.profile.tool_name_for(role)
            self.names[role] = name
            if name != self.held:
                self.held = name
                yield SelectTool(name)
            if toolpath.pause is not None:
                yield from self._wait(toolpath, toolpath.pause)
            yield from self._stroke(toolpath, name)

    def _wait(self, toolpath: Toolpath, pause: Pause) -> Iterator[Move]:
        """Stand away from the cloth with the tool up."""
        at = transformed(line(pause.at, pause.at), self.matrix).first
        self._check(at[None], toolpath)
        yield Travel(at)
        if pause.seconds > 0:
            yield Dwell(pause.seconds)

    def _stroke(self, toolpath: Toolpath, name: str) -> Iterator[Move]:
        tool = self.profile.tools[name]
        chain = without_short_segments(transformed(toolpath.chain, self.matrix), _NOTHING)
        if chain is None:
            at = transformed(toolpath.chain, self.matrix).first
            if tool.blade_offset:
                at = at + tool.blade_offset * direction(self.headings[name])
            self._check(at[None], toolpath)
            yield from _plunge(at, tool)
            return
        for run in self._runs(overrun(chain, tool.overcut), tool, name):
            self._check(_box(run), toolpath)
            yield from _follow(run, tool)

    def _runs(self, chain: Chain, tool: Tool, name: str) -> list[Chain]:
        """Give the paths of the holder, one for each time that the tool is down."""
        if tool.blade_offset:
            pivot, self.headings[name] = pivot_path(chain, tool.blade_offset, self.headings[name])
            return [pivot]
        if tool.lift_angle is not None and len(chain) > 1:
            return parted_at_corners(chain, tool.lift_angle)
        return [chain]

    def _check(self, points: Point, toolpath: Toolpath) -> None:
        x0, y0, x1, y1 = self.reach
        low, high = points.min(axis=0), points.max(axis=0)
        over = max(x0 - low[0], y0 - low[1], high[0] - x1, high[1] - y1)
        if over > _ROUNDING:
            bed = self.profile.bed
            raise MachineError(
                f"the {toolpath.feature} of piece '{toolpath.piece}' would take the tool "
                f"{over:.1f} mm off the bed ({bed.width:.0f} × {bed.height:.0f} mm): it would be "
                f"at x {low[0]:.1f} … {high[0]:.1f}, y {low[1]:.1f} … {high[1]:.1f} mm",
                remedy="Lay the piece farther in (a wider margin in [bed]), turn it, or use a "
                "machine with a larger bed.",
            )


def _box(chain: Chain) -> Point:
    if not chain.bulges.any():
        return chain.points
    x0, y0, x1, y1 = bounds(chain)
    return np.array([[x0, y0], [x1, y1]])


def _plunge(at: Point, tool: Tool) -> Iterator[Move]:
    yield Travel(at)
    yield Lower()
    if tool.dwell:
        yield Dwell(tool.dwell)
    yield Lift()


def _follow(run: Chain, tool: Tool) -> Iterator[Move]:
    yield Travel(run.first)
    yield Lower()
    if tool.dwell:
        yield Dwell(tool.dwell)
    yield Follow(run)
    yield Lift()
