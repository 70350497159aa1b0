"""``[[window]]``, ``[[patch]]`` and ``[[binding]]``: what lies on a panel or closes its edge."""

from __future__ import annotations

from enum import StrEnum
from typing import Self

from pydantic import Field, model_validator

from cutpath.settings.quantities import Extent, Size
from cutpath.settings.toml_file import Settings


class WindowEntry(Settings):
    """A window of film in a panel, sewn onto uncut cloth that is opened when all else is done.

    Film overlaps the opening by 15 mm, two rows 6 mm apart; the cloth is turned under 10 mm;
    corners of the opening have 25 mm at least (common practice, no source; published overlaps run
    from 6.4 to 12.7 mm for film in or on two plies).
    """

    name: str = ""
    panel: str
    loop: str | None = Field(None, description="a closed line inside the panel: inner-1 …")
    at: tuple[float, float] | None = Field(None, description="its middle in the drawing, mm")
    size: tuple[Size, Size] | None = Field(None, description="across and up, with at")
    radius: Size | None = Field(None, description="round the opening's corners to this")
    film: str = Field(description="a name among [cloths]")
    overlap: Size = 15.0
    turn: Extent = Field(10.0, description="cloth folded under around the opening")
    least_radius: Extent = 25.0
    clear: Extent = Field(10.0, description="kept between the film and the panel's stitch line")
    rows: int = Field(2, ge=1, le=4, strict=True)
    tape: bool = Field(False, description="the film is taped on before it is sewn")
    split: int = Field(1, ge=1, le=12, strict=True, description="panes side by side")
    bar: Size = Field(60.0, description="cloth between panes")

    @model_validator(mode="after")
    def _one_way_to_say_it(self) -> Self:
        if (self.loop is None) == (self.at is None and self.size is None):
            raise ValueError("say either loop, or at and size")
        if self.loop is None and (self.at is None or self.size is None):
            raise ValueError("at and size belong together")
        return self


class PatchShape(StrEnum):
    """What a patch looks like."""

    ROUND = "round"
    RECTANGLE = "rectangle"
    CORNER = "corner"


class PatchEntry(Settings):
    """Reinforcement over fixing points, corners or places on edges, drawn on the panel by pen."""

    name: str = ""
    panel: str
    over: tuple[str, ...] = Field(
        description='"drills", "drill d3", "corner bottom/aft", "mark CL", "edge bottom 120 mm"'
    )
    shape: PatchShape = PatchShape.ROUND
    size: tuple[Size, ...] = Field(
        (80.0,), min_length=1, max_length=2, description="diameter; or across and up; or reach"
    )
    radius: Extent = Field(10.0, description="of a rectangle's corners")
    layers: int = Field(1, ge=1, le=6, strict=True)
    step: Size = Field(12.0, description="how much smaller each further layer is, all round")
    cloth: str | None = Field(None, description="a name among [cloths]; the panel's where not said")
    allowance: Extent = Field(0.0, description="turned under all round")


class Tape(StrEnum):
    """How binding is cut."""

    STRAIGHT = "straight"
    BIAS = "bias"


class BindingEntry(Settings):
    """Binding along a run of net edges: bought tape, or bias strip cut from a cloth.

    50 mm are turned in at each end, a join takes 25 mm, and 5 % is wasted (common practice, no
    source).
    """

    name: str = ""
    along: tuple[str, ...] = Field(min_length=1, description='edges in a run: "front/bottom" …')
    width: Size = Field(9.5, description="finished, on one face")
    tape: Tape = Tape.BIAS
    cloth: str | None = Field(None, description="cut from this cloth, not bought")
    turn_in: Extent = 50.0
    join: Extent = 25.0
    joins: int = Field(0, ge=0, le=100, strict=True)
    waste: float = Field(0.05, ge=0, le=1)
