"""What a machine asks of the order of strokes, taken from its profile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from cutpath.geometry.points import Point, as_point
from cutpath.kinematics import Kinematics
from cutpath.model import Feature, Role
from cutpath.settings.profile import Profile
from cutpath.settings.profile_bed import Direction

Before = Literal["all cuts", "own cuts", "own outline"]
"""What pen and drill marks come before."""

_TOWARDS = {
    Direction.RIGHT: (1.0, 0.0),
    Direction.LEFT: (-1.0, 0.0),
    Direction.AWAY: (0.0, 1.0),
    Direction.NEAR: (0.0, -1.0),
}


@dataclass(frozen=True, slots=True)
class Held:
    """Where cloth is held best: outlines are cut in bands of ``band`` mm, the far ones first."""

    towards: tuple[float, float]
    band: float


@dataclass(frozen=True, slots=True)
class ToolRule:
    """One tool as the order sees it: how it moves, and how long its cuts must cool."""

    name: str
    rates: Kinematics
    heat_distance: float = 0.0
    cool_time: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Rules:
    """All that decides about the order besides the strokes; places on the bed, mm.

    Without ``profile`` each role has a tool of its own, and every tool moves alike.
    """

    start: Point
    end: Point | None = None
    rest: Point | None = None
    marks_before: Before = "all cuts"
    held: Held | None = None
    profile: Profile | None = None

    def tool(self, role: Role, feature: Feature) -> ToolRule:
        """Give the tool that does this work. Raises MachineError when there is none."""
        if self.profile is None:
            return ToolRule(role.value, Kinematics())
        name = self.profile.tool_name_for(role, feature)
        tool = self.profile.tools[name]
        return ToolRule(name, self.profile.kinematics(name), tool.heat_distance, tool.cool_time)


def rules_of(profile: Profile) -> Rules:
    """Give the rules of the profile's machine; its head begins at its origin unless it says so."""
    said = profile.order
    matrix = profile.bed_to_machine()
    origin = as_point(np.linalg.solve(matrix[:, :2], -matrix[:, 2]))
    start = origin if said.begin is None else as_point(said.begin)
    side = said.held_side
    return Rules(
        start=start,
        end=start if said.returns else None,
        rest=start if said.rest is None else as_point(said.rest),
        marks_before=said.marks_before,
        held=None if side is None else Held(_TOWARDS[side], said.held_band),
        profile=profile,
    )
