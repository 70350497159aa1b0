"""The schema of a machine's profile: its bed, language, numbers and tools."""

from __future__ import annotations

import hashlib
import json
from enum import StrEnum
from typing import Self

import numpy as np
from pydantic import Field, model_validator

from cutpath.errors import MachineError
from cutpath.geometry.points import Point
from cutpath.geometry.transform import Matrix
from cutpath.kinematics import Kinematics
from cutpath.model import Feature, NotchShape, Role, Toolpath
from cutpath.settings.profile_advance import Advance, AdvanceWord
from cutpath.settings.profile_bed import Bed
from cutpath.settings.profile_compensation import Compensation
from cutpath.settings.profile_faults import hpgl_fault, no_twice, rs274_fault
from cutpath.settings.profile_link import Link
from cutpath.settings.profile_motion import Motion
from cutpath.settings.profile_order import Order
from cutpath.settings.profile_output import Output
from cutpath.settings.profile_tools import Tool
from cutpath.settings.quantities import Size
from cutpath.settings.toml_file import Settings

_REALTIME = "?!~"
"""Bytes that small controllers act on at once, even inside a comment."""


BESIDE_THE_BYTES = ("link", "extends", "without")
"""Keys of a profile that change no byte of a file."""


class Language(StrEnum):
    """What the machine is spoken to in."""

    HPGL = "hp-gl"
    HPGL2 = "hp-gl/2"
    RS274 = "rs274"


DEFAULT_SPEED = 381.0
"""mm/s where no speed is said: the 7470A's own (HP, its Interfacing and Programming Manual, VS)."""


class ProfileNotches(Settings):
    """How this machine cuts marks where the job says nothing."""

    shape: NotchShape = NotchShape.SLIT
    depth: Size = 5.0


class Profile(Settings):
    """One machine: all that the stages need to know of it."""

    name: str = Field(min_length=1, description="what people call it")
    kind: str = Field("", description="the class of machine that it stands for, in words")
    extends: str | None = Field(None, description="the profile this one changes")
    without: tuple[str, ...] = Field((), description="tools of that profile this machine lacks")
    language: Language
    cautions: tuple[str, ...] = Field((), description="told whenever a file is written")
    bed: Bed
    advance: Advance | None = None
    output: Output = Output()
    motion: Motion = Motion()
    compensation: Compensation = Compensation()
    link: Link = Link()
    order: Order = Order()
    notches: ProfileNotches = ProfileNotches()
    tools: dict[str, Tool] = Field(min_length=1)

    @model_validator(mode="after")
    def _tools_differ(self) -> Self:
        numbers = [tool.number for tool in self.tools.values()]
        no_twice("number", numbers)
        tools = self.tools.values()
        no_twice("role", [role for tool in tools for role in tool.roles if not tool.only])
        no_twice("work", [f"{tool.role} {work}" for tool in tools for work in tool.only])
        return self

    @model_validator(mode="after")
    def _speaks_its_language(self) -> Self:
        for name, tool in self.tools.items():
            fault = self._fault(tool)
            if fault:
                raise ValueError(f"tool '{name}': {fault}")
        if self.language is Language.HPGL2 and self.output.arcs:
            raise ValueError("polyline encoding has no arcs. Write arcs = false in [output]")
        return self

    @model_validator(mode="after")
    def _moves_its_cloth(self) -> Self:
        word = self.advance_word()
        if word is None:
            return self
        if word.letters and word.letters == self.motion.turning_axis:
            raise ValueError(
                f"axis {word.letters} turns blades and moves the cloth. Give each its own"
            )
        return self

    @model_validator(mode="after")
    def _texts_can_be_sent(self) -> Self:
        output = self.output
        lines = [*output.start, *output.tool_change, *output.end, output.modes]
        lines += self.advance.lines if self.advance else ()
        for tool in self.tools.values():
            lines += [*tool.lower, *tool.lift]
        for line in lines:
            if not line.isascii() or not line.isprintable() or len(line) > output.longest_line:
                raise ValueError(
                    f"the line '{line}' cannot be sent. "
                    f"Use at most {output.longest_line} plain ASCII characters, one line a text"
                )
            if self.language is Language.RS274 and any(sign in line for sign in _REALTIME):
                raise ValueError(
                    f"the line '{line}' holds one of {_REALTIME}, which controllers act on at once"
                )
        return self

    def _fault(self, tool: Tool) -> str:
        if self.language is Language.RS274:
            return rs274_fault(tool, self.motion)
        return hpgl_fault(tool)

    def tool_name_for(self, role: Role, feature: Feature | None = None) -> str:
        """Give the name of the tool that does this work. Raises MachineError when there is none.

        A tool for that ``feature`` only comes before the role's tool for everything.
        """
        for name, tool in self.tools.items():
            if role in tool.roles and feature in tool.only:
                return name
        for name, tool in self.tools.items():
            if role in tool.roles and not tool.only:
                return name
        known = ", ".join(role for tool in self.tools.values() for role in tool.roles)
        raise MachineError(
            f"'{self.name}' has no tool for the role '{role}'",
            remedy=f"It has tools for: {known}. Use another profile, or let one stand in "
            f'(stands_in = ["{role}"]).',
        )

    def tool_name_of(self, toolpath: Toolpath) -> str:
        """Give the name of the tool that makes this stroke. Raises MachineError when none does."""
        return toolpath.trial.tool or self.tool_name_for(toolpath.role, toolpath.feature)

    def has_tool_for(self, role: Role) -> bool:
        """Tell whether any tool does this work."""
        return any(role in tool.roles for tool in self.tools.values())

    def kinematics(self, tool_name: str) -> Kinematics:
        """Give how the machine moves with the tool of this name."""
        tool, motion = self.tools[tool_name], self.motion
        lift, lower = motion.lift_time, motion.lower_time
        if self.language is Language.RS274 and tool.depth is not None and not tool.lower:
            way = self.output.travel_height + tool.depth
            lift = way / motion.travel_speed
            lower = way / (tool.plunge_speed or tool.speed or DEFAULT_SPEED)
        return Kinematics(
            travel_speed=motion.travel_speed,
            cut_speed=tool.speed or DEFAULT_SPEED,
            acceleration=motion.acceleration,
            corner_deviation=motion.corner_deviation,
            lift_time=lift,
            lower_time=lower + tool.dwell,
            tool_change_time=motion.tool_change_time,
        )

    def bed_to_machine(self) -> Matrix:
        """Give the 2 × 3 matrix from bed to machine coordinates, both mm."""
        return self.bed.to_machine()

    def reach(self) -> tuple[float, float, float, float]:
        """Give the bed in machine coordinates: (x least, y least, x most, y most), mm."""
        matrix = self.bed_to_machine()
        corners = np.array([[0.0, 0.0], [self.bed.width, self.bed.height]])
        moved = corners @ matrix[:, :2].T + matrix[:, 2]
        low, high = moved.min(axis=0), moved.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def advance_word(self) -> AdvanceWord | None:
        """Give what moves the cloth in the file; None for cloth that is moved by hand."""
        if self.advance is None:
            return None
        if self.language is Language.RS274:
            return self.advance.axis_word()
        return self.advance.instruction()

    def advance_time(self, distance: float) -> float:
        """Give the seconds that moving the cloth on by ``distance`` mm takes."""
        how = self.advance
        return 0.0 if how is None else distance / how.speed + how.settle_time

    def run_in_machine(self) -> Point:
        """Give the direction in which cloth runs, from its end on, in machine coordinates."""
        along = np.array([1.0, 0.0] if self.bed.runs_right else [0.0, 1.0])
        run: Point = self.bed_to_machine()[:, :2] @ along
        return run

    @property
    def file_suffix(self) -> str:
        """Give the usual ending of such files."""
        return ".ngc" if self.language is Language.RS274 else ".plt"

    def digest(self) -> str:
        """Give the SHA-256 of all that the profile says, defaults and extended parts included.

        What changes no byte of a file is left out: the way to the machine, and from which profile
        the rest was taken.
        """
        told = self.model_dump(mode="json", exclude=set(BESIDE_THE_BYTES))
        said = json.dumps(told, sort_keys=True, ensure_ascii=True)
        return hashlib.sha256(said.encode("ascii")).hexdigest()
