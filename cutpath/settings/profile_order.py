"""What a machine's profile says about the order in which strokes are made."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from cutpath.settings.profile_bed import Direction
from cutpath.settings.quantities import Length, Size
from cutpath.settings.toml_file import Settings


class Order(Settings):
    """What must come first, where the head stands before and after, and where it waits.

    Places are on the bed: to the right and away, from the operator's left corner.
    """

    marks_before: Literal["all cuts", "own cuts", "own outline"] = Field(
        "all cuts", description="pen and drill come before every cut, or those of their piece"
    )
    begin: tuple[Length, Length] | None = Field(
        None, description="where the head stands at first; otherwise the machine's origin"
    )
    returns: bool = Field(False, description="whether the head goes back there in the end")
    rest: tuple[Length, Length] | None = Field(
        None, description="where it waits, off the cloth; otherwise where it stands at first"
    )
    held_side: Direction | None = Field(
        None, description="the side that is clamped or held best: outlines far from it come first"
    )
    held_band: Size = Field(300.0, description="how much nearer to that side counts as nearer")
