"""What ``measured.toml`` says of each test pattern: how it was made, and which readings it takes.

x and y are those of the machine. Every table has its own keys; readings are checked by their names.
"""

from __future__ import annotations

import re
from typing import Any, ClassVar, Literal

from pydantic import Field

from cutpath.settings.quantities import Extent, Size
from cutpath.settings.toml_file import Settings

_DOUBT = "of one reading: two of three readings are within it"


class PatternEntry(Settings):
    """One pattern that was made. ``keys`` are its readings' names, as patterns and as examples."""

    keys: ClassVar[str] = ""
    examples: ClassVar[tuple[str, ...]] = ()
    name: str
    tool: str = Field("", description="that made it, or that it is about")
    size: tuple[Size, Size] | None = Field(None, description="told, along the machine's x and y")
    uncertainty: Size | None = Field(None, description=_DOUBT)
    told: dict[str, Any] = Field(default_factory=dict, description="what was told of each reading")

    @classmethod
    def takes(cls, key: str) -> bool:
        """Tell whether it has a reading of this name."""
        return re.fullmatch(cls.keys, key) is not None


class LengthPattern(PatternEntry):
    """One whose readings are lengths, each with an uncertainty."""

    uncertainty: Size = Field(description=_DOUBT)


class ScaleEntry(LengthPattern):
    """Crosses at the corners and the middles of a large rectangle."""

    examples = ("near", "middle_x", "far", "left", "middle_y", "right", "rising", "falling")
    keys = "|".join(examples)
    size: tuple[Size, Size] = Field(description="told, along the machine's x and y")


class BacklashEntry(LengthPattern):
    """Rows of ticks told at one place, come to from both sides."""

    keys, examples = r"[xy][1-9]\d?", ("x1", "x2", "y1", "y2")


class BladeEntry(LengthPattern):
    """Cuts of a drag blade that are not led for its offset; a circle's key tells its radius."""

    keys = r"gap_[xy][1-9]\d?|corner_[1-9]\d{0,2}|circle_[1-9]\d{0,2}"
    examples = ("gap_x1", "gap_y1", "corner_90", "corner_150", "circle_10")
    tool: str
    blade_offset: Extent = Field(0.0, description="the profile's, when the pattern was made")


class OvercutEntry(PatternEntry):
    """Pieces cut with more and more overcut."""

    keys, examples = r"closed_[1-9]\d?", ("closed_1", "closed_2", "closed_3")
    tool: str
    values: tuple[Extent, ...] = Field(min_length=1, description="the overcuts tried")


class ToolsEntry(LengthPattern):
    """Marks of every tool at the places of the reference tool's."""

    keys, examples = r"d[xy][1-9]\d?", ("dx1", "dx2", "dy1", "dy2")
    reference: str
    tools: tuple[str, ...] = ()


class DrillEntry(LengthPattern):
    """Holes in the reference tool's rings."""

    keys, examples = r"d[xy][1-9]\d?|hole", ("dx1", "dy1", "hole")
    tool: str
    reference: str


class AdvanceEntry(LengthPattern):
    """Marks at the end of one frame and the start of the next, told at one place of the cloth."""

    keys, examples = r"a[1-9]\d?", ("a1", "a2", "a3")
    advance: Size = Field(description="told")


class RepeatEntry(LengthPattern):
    """One place, come back to from all sides."""

    keys, examples = "spread_[xy]", ("spread_x", "spread_y")
    returns: int = Field(ge=2, le=99, strict=True)


class LadderEntry(PatternEntry):
    """A grid of strokes: a row for each speed (1, 2, …), a column (A, B, …) for force or depth."""

    keys, examples = "best", ("best",)
    tool: str
    rows: tuple[float, ...] = Field((), description="speeds, mm/s")
    columns: tuple[Size, ...] = Field((), description="forces, or depths")
    column: Literal["force", "depth", "none"] = "none"


class LiftEntry(PatternEntry):
    """Strokes across a slit at falling travel heights."""

    keys, examples = "clear_at", ("clear_at",)
    values: tuple[Size, ...] = Field(min_length=1, description="the heights tried")


ENTRIES: dict[str, type[PatternEntry]] = {
    "scale": ScaleEntry,
    "backlash": BacklashEntry,
    "blade": BladeEntry,
    "overcut": OvercutEntry,
    "tools": ToolsEntry,
    "ladder": LadderEntry,
    "lift": LiftEntry,
    "repeat": RepeatEntry,
    "advance": AdvanceEntry,
    "drill": DrillEntry,
}
"""The pattern tables by the pattern's name."""
