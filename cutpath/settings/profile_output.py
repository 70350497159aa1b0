"""What a machine's profile says about how its file is written."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import Literal

from pydantic import Field, field_validator

from cutpath.settings.quantities import Extent, Length, Size
from cutpath.settings.toml_file import Settings

_MODE = re.compile(r"G\d{1,2}(\.\d)?")
_WAIT = re.compile(r"G0?4 ?P\{(seconds|milliseconds)\}")
_END = re.compile(r"M0?2|M30|%")
_NOT_MODES = {
    "G20": 'say units = "in"',
    "G21": 'say units = "mm"',
    "G91": "places are absolute",
    "G93": "speeds are units a minute",
    "G18": "the plane is XY, G17",
    "G19": "the plane is XY, G17",
}


class LineEnding(StrEnum):
    """What ends a line of the file."""

    LF = "lf"
    CRLF = "crlf"
    NONE = "none"

    @property
    def characters(self) -> str:
        """Give the characters themselves."""
        return {"lf": "\n", "crlf": "\r\n", "none": ""}[self.value]


class Output(Settings):
    """How the file is written."""

    units_per_mm: float = Field(
        40.0, gt=0, le=10_000, description="HP-GL: plotter units in a millimetre"
    )
    units: Literal["mm", "in"] = Field("mm", description="RS274: what its numbers count")
    decimals: int = Field(4, ge=2, le=6, strict=True, description="RS274: decimals of one unit")
    largest_number: int = Field(
        32_767, ge=1_000, le=2**30 - 1, strict=True, description="HP-GL: largest coordinate"
    )
    base: int = Field(64, description="HP-GL/2: polyline encoding in 64 (8 bits) or 32 (7 bits)")
    fraction_bits: int = Field(
        0, ge=0, le=10, strict=True, description="HP-GL/2: bits below one unit"
    )
    arcs: bool = Field(False, description="whether arcs are sent as arcs")
    fit_tolerance: Extent = Field(
        0.0, le=1, description="curves are sent as fewer lines and arcs, straying so far at most"
    )
    chord_tolerance: Size = Field(0.01, le=1, description="curves as chords: how far these stray")
    travel_height: Size = Field(5.0, description="RS274: Z above the surface while travelling")
    surface: Length = Field(0.0, description="RS274: Z of the surface; below it a tool works")
    line_ending: LineEnding = LineEnding.LF
    longest_line: int = Field(256, ge=40, le=100_000, strict=True, description="characters")
    comments: bool = Field(True, description="RS274: whether (comments) may stand in the file")
    modes: str = Field(
        "G17 G40 G90 G94", description="RS274: modes at the top, beside the units (G20 or G21)"
    )
    dwell: str = Field(
        "G4 P{seconds}", description="RS274: waits; {seconds} or {milliseconds} is filled in"
    )
    finish: str = Field("M2", description="RS274: the last line")
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

    @field_validator("modes")
    @classmethod
    def _are_modes(cls, modes: str) -> str:
        words = modes.split()
        for word in words:
            if not _MODE.fullmatch(word):
                raise ValueError(f"'{word}' is no mode such as G40. Write other lines in start")
            if word in _NOT_MODES:
                raise ValueError(f"{word} cannot stand there: {_NOT_MODES[word]}")
        if "G90" not in words:
            raise ValueError("places are absolute. Add G90")
        return " ".join(words)

    @field_validator("dwell")
    @classmethod
    def _is_a_wait(cls, line: str) -> str:
        if not _WAIT.fullmatch(line):
            raise ValueError(
                f"'{line}' is no wait. Write G4 P{{seconds}}, or G4 P{{milliseconds}} "
                "for a control that counts those"
            )
        return line

    @field_validator("finish")
    @classmethod
    def _ends_a_program(cls, line: str) -> str:
        if not _END.fullmatch(line):
            raise ValueError(
                f"'{line}' ends no program. Write M2, M30 or %; other lines belong in end"
            )
        return line

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
