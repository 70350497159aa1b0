"""``[webbings.NAME]``, ``[[webbing]]``, ``[[fastener]]``, ``[thread]`` and ``[prices]``."""

from __future__ import annotations

from enum import StrEnum
from typing import Self

from pydantic import Field, model_validator

from cutpath.settings.quantities import Extent, Seconds, Size
from cutpath.settings.toml_file import Settings


class Fibre(StrEnum):
    """What webbing is woven from."""

    POLYPROPYLENE = "polypropylene"
    POLYESTER = "polyester"
    NYLON = "nylon"
    ACRYLIC = "acrylic"
    COTTON = "cotton"
    PVC = "PVC"
    UNKNOWN = "unknown"


SEALABLE = frozenset({Fibre.POLYPROPYLENE, Fibre.POLYESTER, Fibre.NYLON})
"""Fibres that melt before they decompose: a hot blade seals their ends."""


class WebbingKind(Settings):
    """A webbing as it is ordered; remnants of it come before a new roll is begun."""

    name: str = Field("", description="as it is ordered")
    fibre: Fibre
    width: Size
    thickness: Size = 1.5
    roll: Size = Field(50_000.0, description="length of a new roll")
    on_hand: tuple[Size, ...] = Field((), description="lengths of remnants in the shop")
    speed: float | None = Field(
        None, gt=0, le=1_000, description="of the hot tool across it, mm/s; not said: the machine's"
    )
    dwell: Seconds | None = Field(
        None, description="how long the hot tool waits first; not said: the machine's"
    )


class WebbingEntry(Settings):
    """Straps of one kind: a finished length, or a path over places of a panel.

    A tab that holds a buckle is 60 mm long when folded, round a bar of 5 mm (common practice, no
    source).
    """

    name: str = ""
    of: str = Field(description="a name among [webbings]")
    length: Size | None = Field(None, description="finished, from bar to bar or end to end")
    panel: str | None = Field(None, description="the panel that it belongs to")
    path: tuple[tuple[float, float] | str, ...] = Field(
        (), description='from place to place: [x, y] in the drawing, mm, or "corner bottom/aft", '
        '"mark CL", "drill d3", "edge bottom 120 mm"',
    )  # fmt: skip
    count: int = Field(1, ge=1, le=10_000, strict=True, description="for each panel that is cut")
    buckles: int = Field(0, ge=0, le=2, strict=True, description="each held by a tab of its own")
    buckle_tab: Size = Field(60.0, description="a tab's length when folded")
    buckle_bar: Extent = Field(5.0, description="diameter of the bar that a tab goes round")
    turn_backs: tuple[Extent, ...] = Field((), max_length=2, description="folded back at the ends")
    bar: Extent = Field(0.0, description="diameter of the bar that a turn-back goes round")
    allowance: Extent = Field(0.0, description="added for trimming on the boat")
    sealed: bool = Field(True, description="ends are cut by a hot tool")

    @model_validator(mode="after")
    def _one_way_to_say_it(self) -> Self:
        if (self.length is None) == (not self.path):
            raise ValueError("say either length or path")
        if self.path and len(self.path) < 2:
            raise ValueError("a path needs two places or more")
        if self.panel is None and any(isinstance(place, str) for place in self.path):
            raise ValueError("places by name are on a panel. Say which: panel = …")
        return self


class FastenerEntry(Settings):
    """Hardware that is bought by the piece."""

    name: str
    count: int = Field(ge=1, le=100_000, strict=True)
    for_: str = Field("", alias="for", description="what it is for")


class ThreadEntry(Settings):
    """The thread that the job is sewn with.

    A seam is sewn in two rows, joined and top-stitched; waste 15 % (apparelscience.com gives 10 to
    15 %). Stitches are 4 mm long (common practice, no source).
    """

    name: str = "thread"
    stitch: str = Field("301", description="its number in ISO 4915")
    stitch_length: Size = 4.0
    throw: Size = Field(5.0, description="width of a zigzag")
    ply: Size = Field(0.5, description="thickness of one ply of cloth")
    seam_rows: int = Field(2, ge=1, le=6, strict=True)
    waste: float = Field(0.15, ge=0, le=1)


class Prices(Settings):
    """What things cost, by the name they are ordered by: a metre, a square metre, or a piece."""

    currency: str = ""
    of: dict[str, float] = Field(default_factory=dict)
