"""What a machine's profile says about one tool."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from cutpath.model import Feature, Role
from cutpath.settings.part_tables.webbing import SEALABLE, Fibre
from cutpath.settings.quantities import Angle, Extent, Length, Seconds, Size
from cutpath.settings.toml_file import Settings


class OnFibre(Settings):
    """How a hot tool goes over webbing of one fibre, where that differs from the tool's own way."""

    speed: float | None = Field(None, gt=0, le=1_000, description="mm/s")
    dwell: Seconds | None = Field(None, description="wait after lowering, before it moves")


class Tool(Settings):
    """One tool: the work it does, how it is picked, lowered and led."""

    role: Role = Field(description="the work it does")
    stands_in: tuple[Role, ...] = Field((), description="other work it does on this machine")
    only: tuple[Feature, ...] = Field(
        (), description="it makes these of its role's work, another tool of the role the rest"
    )
    offset: tuple[Length, Length] = Field(
        (0.0, 0.0),
        description="where its point lands beside the place told, in machine x and y",
    )
    number: int = Field(ge=1, le=99_999, strict=True, description="holder that selects it")
    speed: float | None = Field(None, gt=0, le=10_000, description="working speed, mm/s")
    force: int | None = Field(
        None, ge=0, le=32_767, strict=True, description="the plotter's own force step (FS)"
    )
    depth: Size | None = Field(None, description="how far below the surface it works (Z)")
    plunge_speed: float | None = Field(None, gt=0, le=10_000, description="lowering in Z, mm/s")
    lower: tuple[str, ...] = Field((), description="lines that lower it, instead of Z")
    lift: tuple[str, ...] = Field((), description="lines that lift it, instead of Z")
    dwell: Seconds = Field(0.0, description="wait after lowering, before it moves")
    blade_offset: Extent = Field(
        0.0, le=50, description="how far a drag blade's tip trails its pivot"
    )
    first_heading: Angle = Field(
        0.0, description="where a drag blade points before its first cut, from the machine's +x"
    )
    overcut: Extent = Field(0.0, le=100, description="how far a closed cut runs past its start")
    lift_angle: Angle | None = Field(
        None, gt=0, description="lift at corners that turn more than this"
    )
    turned: bool = Field(False, description="whether the file turns its blade along the line")
    least_radius: Extent = Field(
        0.0, le=1_000, description="tighter curves are cut in straight parts, with a lift between"
    )
    overlap: Extent = Field(
        0.0, le=100, description="how far cuts run past a corner where it lifts, in the waste"
    )
    lead_in: Extent = Field(
        0.0, le=100, description="a closed cut begins so far outside its piece, in the waste"
    )
    lead_speed: float | None = Field(None, gt=0, le=10_000, description="of the lead-in, mm/s")
    kerf: Extent = Field(0.0, le=20, description="width that a hot tool melts away")
    diameter: Size | None = Field(None, description="of the drill or punch")
    hole: Size | None = Field(None, description="the hole it makes, by many hits when larger")
    heat_distance: Extent = Field(
        0.0, le=1_000, description="two of its cuts that come so near must cool between"
    )
    cool_time: Seconds = Field(0.0, description="how long such cuts must be apart in time")
    fibres: dict[Fibre, OnFibre] = Field(
        default_factory=dict, description="a hot tool's way with webbing of each fibre"
    )
    tolerance: Size = Field(0.1, description="largest deviation that passes the proof")

    @property
    def roles(self) -> tuple[Role, ...]:
        """Give all the work it does, its own first."""
        return (self.role, *self.stands_in)

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        if self.blade_offset and self.lift_angle is not None:
            raise ValueError(
                "a drag blade cannot turn in the air. Leave out lift_angle or blade_offset"
            )
        if bool(self.lower) != bool(self.lift):
            raise ValueError("lower and lift belong together. Give both or neither")
        return self

    @model_validator(mode="after")
    def _leads_one_way(self) -> Self:
        if self.blade_offset and (self.turned or self.least_radius or self.overlap or self.kerf):
            raise ValueError(
                "a drag blade turns by itself. Leave out blade_offset, or turned, least_radius, "
                "overlap and kerf"
            )
        if self.overlap and self.lift_angle is None and not self.least_radius:
            raise ValueError("overlap is for corners where it lifts. Add lift_angle")
        if self.lead_speed is not None and not self.lead_in:
            raise ValueError('lead_speed is for the lead-in. Add lead_in = "… mm"')
        return self

    @model_validator(mode="after")
    def _makes_holes(self) -> Self:
        if bool(self.heat_distance) != bool(self.cool_time):
            raise ValueError("heat_distance and cool_time belong together. Give both or neither")
        if (self.diameter or self.hole) and self.role is not Role.DRILL:
            raise ValueError("diameter and hole are for a drill. Leave them out")
        if self.hole is not None and (self.diameter is None or self.diameter > self.hole):
            raise ValueError("a hole needs a diameter of the drill that is no larger. Give both")
        return self

    @model_validator(mode="after")
    def _keeps_heat_where_it_may_go(self) -> Self:
        if self.fibres and Role.HOT not in self.roles:
            raise ValueError("fibres is for a hot tool. Leave it out")
        refused = [fibre.value for fibre in self.fibres if fibre not in SEALABLE]
        if refused:
            raise ValueError(f"nothing hot comes near {refused[0]}. Leave it out of fibres")
        return self
