"""The schema of a machine's profile: its bed, language, numbers and tools."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from enum import StrEnum
from typing import Self

import numpy as np
from pydantic import Field, field_validator, model_validator

from cutpath.errors import MachineError
from cutpath.geometry.transform import Matrix
from cutpath.model import NotchShape, Role
from cutpath.settings.profile_tools import Tool
from cutpath.settings.quantities import Extent, Length, Size
from cutpath.settings.toml_file import Settings

_REALTIME = "?!~"
"""Bytes that small controllers act on at once, even inside a comment."""


class Language(StrEnum):
    """What the machine is spoken to in."""

    HPGL = "hp-gl"
    HPGL2 = "hp-gl/2"
    RS274 = "rs274"


class Origin(StrEnum):
    """Where on the bed the machine counts from."""

    NEAR_LEFT = "near left"
    NEAR_RIGHT = "near right"
    FAR_LEFT = "far left"
    FAR_RIGHT = "far right"
    MIDDLE = "middle"


class Direction(StrEnum):
    """A direction on the bed, seen by the operator in front of it."""

    RIGHT = "right"
    LEFT = "left"
    AWAY = "away"
    NEAR = "near"


class LineEnding(StrEnum):
    """What ends a line of the file."""

    LF = "lf"
    CRLF = "crlf"
    NONE = "none"

    @property
    def characters(self) -> str:
        """Give the characters themselves."""
        return {"lf": "\n", "crlf": "\r\n", "none": ""}[self.value]


_ALONG = {
    Direction.RIGHT: (1.0, 0.0),
    Direction.LEFT: (-1.0, 0.0),
    Direction.AWAY: (0.0, 1.0),
    Direction.NEAR: (0.0, -1.0),
}
_SHARE = {
    Origin.NEAR_LEFT: (0.0, 0.0),
    Origin.NEAR_RIGHT: (1.0, 0.0),
    Origin.FAR_LEFT: (0.0, 1.0),
    Origin.FAR_RIGHT: (1.0, 1.0),
    Origin.MIDDLE: (0.5, 0.5),
}


class Bed(Settings):
    """What the machine can reach, and how it counts there."""

    width: Size = Field(description="reach to the right, from the operator's place")
    height: Size = Field(description="reach away from the operator")
    margin: Extent = Field(10.0, description="kept free of pieces along each side")
    origin: Origin = Origin.NEAR_LEFT
    x: Direction = Field(Direction.RIGHT, description="where the machine's +x goes")
    y: Direction = Field(Direction.AWAY, description="where the machine's +y goes")

    @model_validator(mode="after")
    def _is_a_plane(self) -> Self:
        if np.dot(_ALONG[self.x], _ALONG[self.y]) != 0:
            raise ValueError(
                f"x goes {self.x} and y {self.y}: along one line. "
                "One of them goes right or left, the other away or near"
            )
        if 2 * self.margin >= min(self.width, self.height):
            raise ValueError("the margins leave nothing of the bed. Make margin smaller")
        return self


class Output(Settings):
    """How the file is written."""

    units_per_mm: float = Field(
        40.0, gt=0, le=10_000, description="HP-GL: plotter units in a millimetre"
    )
    decimals: int = Field(4, ge=2, le=6, strict=True, description="RS274: decimals of a millimetre")
    largest_number: int = Field(
        32_767, ge=1_000, le=2**30 - 1, strict=True, description="HP-GL: largest coordinate"
    )
    base: int = Field(64, description="HP-GL/2: polyline encoding in 64 (8 bits) or 32 (7 bits)")
    fraction_bits: int = Field(
        0, ge=0, le=10, strict=True, description="HP-GL/2: bits below one unit"
    )
    arcs: bool = Field(False, description="whether arcs are sent as arcs")
    chord_tolerance: Size = Field(0.01, le=1, description="curves as chords: how far these stray")
    travel_height: Size = Field(5.0, description="RS274: Z above the surface while travelling")
    surface: Length = Field(0.0, description="RS274: Z of the surface; below it a tool works")
    line_ending: LineEnding = LineEnding.LF
    longest_line: int = Field(256, ge=40, le=100_000, strict=True, description="characters")
    comments: bool = Field(True, description="RS274: whether (comments) may stand in the file")
    start: tuple[str, ...] = Field((), description="lines before everything")
    tool_change: tuple[str, ...] = Field(
        (), description="RS274: lines that pick a tool; {number} and {tool} are filled in"
    )
    end: tuple[str, ...] = Field((), description="lines after everything")

    @field_validator("base")
    @classmethod
    def _of_the_two(cls, base: int) -> int:
        if base not in {32, 64}:
            raise ValueError("polyline encoding knows base 64 and base 32")
        return base

    @field_validator("tool_change")
    @classmethod
    def _can_be_filled(cls, lines: tuple[str, ...]) -> tuple[str, ...]:
        for line in lines:
            try:
                line.format(number=1, tool="knife")
            except (KeyError, IndexError, ValueError, AttributeError) as error:
                raise ValueError(
                    f"'{line}' cannot be filled in. Only {{number}} and {{tool}} are"
                ) from error
        return lines


class ProfileNotches(Settings):
    """How this machine cuts marks where the job says nothing."""

    shape: NotchShape = NotchShape.SLIT
    depth: Size = 5.0


class Profile(Settings):
    """One machine: all that the stages need to know of it."""

    name: str = Field(min_length=1, description="what people call it")
    extends: str | None = Field(None, description="the profile this one changes")
    without: tuple[str, ...] = Field((), description="tools of that profile this machine lacks")
    language: Language
    cautions: tuple[str, ...] = Field((), description="told whenever a file is written")
    bed: Bed
    output: Output = Output()
    notches: ProfileNotches = ProfileNotches()
    tools: dict[str, Tool] = Field(min_length=1)

    @model_validator(mode="after")
    def _tools_differ(self) -> Self:
        numbers = [tool.number for tool in self.tools.values()]
        _no_twice("number", numbers)
        _no_twice("role", [role for tool in self.tools.values() for role in tool.roles])
        return self

    @model_validator(mode="after")
    def _speaks_its_language(self) -> Self:
        for name, tool in self.tools.items():
            fault = _rs274_fault(tool) if self.language is Language.RS274 else _hpgl_fault(tool)
            if fault:
                raise ValueError(f"tool '{name}': {fault}")
        if self.language is Language.HPGL2 and self.output.arcs:
            raise ValueError("polyline encoding has no arcs. Write arcs = false in [output]")
        return self

    @model_validator(mode="after")
    def _texts_can_be_sent(self) -> Self:
        output = self.output
        lines = [*output.start, *output.tool_change, *output.end]
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

    def tool_name_for(self, role: Role) -> str:
        """Give the name of the tool that does this work. Raises MachineError when there is none."""
        for name, tool in self.tools.items():
            if role in tool.roles:
                return name
        known = ", ".join(role for tool in self.tools.values() for role in tool.roles)
        raise MachineError(
            f"'{self.name}' has no tool for the role '{role}'",
            remedy=f"It has tools for: {known}. Use another profile, or let one stand in "
            f'(stands_in = ["{role}"]).',
        )

    def has_tool_for(self, role: Role) -> bool:
        """Tell whether any tool does this work."""
        return any(role in tool.roles for tool in self.tools.values())

    def bed_to_machine(self) -> Matrix:
        """Give the 2 × 3 matrix from bed to machine coordinates, both mm."""
        bed = self.bed
        axes = np.array([_ALONG[bed.x], _ALONG[bed.y]])
        origin = np.array(_SHARE[bed.origin]) * (bed.width, bed.height)
        return np.column_stack([axes, 0.0 - axes @ origin])

    def reach(self) -> tuple[float, float, float, float]:
        """Give the bed in machine coordinates: (x least, y least, x most, y most), mm."""
        matrix = self.bed_to_machine()
        corners = np.array([[0.0, 0.0], [self.bed.width, self.bed.height]])
        moved = corners @ matrix[:, :2].T + matrix[:, 2]
        low, high = moved.min(axis=0), moved.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    @property
    def file_suffix(self) -> str:
        """Give the usual ending of such files."""
        return ".ngc" if self.language is Language.RS274 else ".plt"

    def digest(self) -> str:
        """Give the SHA-256 of all that the profile says, defaults and extended parts included."""
        said = json.dumps(self.model_dump(mode="json"), sort_keys=True, ensure_ascii=True)
        return hashlib.sha256(said.encode("ascii")).hexdigest()


def _no_twice(word: str, values: Iterable[object]) -> None:
    seen = set()
    for value in values:
        if value in seen:
            raise ValueError(f"two tools have the {word} '{value}'. Each {word} belongs to one")
        seen.add(value)


def _rs274_fault(tool: Tool) -> str:
    if tool.speed is None:
        return "rs274 needs a speed. Add speed = (mm/s)"
    if tool.depth is None and not tool.lower:
        return 'it cannot be lowered. Add depth = "… mm", or lower and lift lines'
    if tool.force is not None:
        return "rs274 has no word for force. Leave out force"
    return ""


def _hpgl_fault(tool: Tool) -> str:
    if tool.dwell:
        return "HP-GL has no instruction to wait. Leave out dwell"
    if tool.depth is not None or tool.plunge_speed is not None or tool.lower:
        return "HP-GL lowers tools by itself (PD). Leave out depth, plunge_speed, lower and lift"
    return ""
