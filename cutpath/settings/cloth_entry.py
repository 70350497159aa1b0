"""What ``job.toml`` may say of a cloth: its width, grain and faces, and what of it is on hand."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Any, Self

from pydantic import Field, field_validator, model_validator

from cutpath.settings.quantities import Angle, Extent, Size
from cutpath.settings.toml_file import Settings


class Faces(StrEnum):
    """Whether the two faces of a cloth can stand for each other."""

    ALIKE = "alike"
    DIFFER = "differ"


class ClothGrain(StrEnum):
    """Whether a cloth has a warp that pieces must follow."""

    ALONG = "along"
    NONE = "none"


class OnHand(Settings):
    """A remnant or roll that is there already: laid on before anything is bought."""

    name: str = Field("", description="what it is called in the shop")
    length: Size = Field(description="along the warp")
    width: Size | None = Field(None, description="over all, where it differs from the cloth's")
    flaws: tuple[tuple[Extent, Extent, Size, Size], ...] = Field(
        (), description="[from its end, from its near edge, length, width] of each spot to avoid"
    )


class Cloth(Settings):
    """A cloth that the job is cut from, and how pieces may lie on it."""

    name: str = Field("", description="as it is ordered")
    width: Size | None = Field(None, description="of the roll, over all")
    selvedge: Extent = Field(0.0, description="along each long edge, kept free of pieces")
    faces: Faces = Faces.ALIKE
    grain: ClothGrain = Field(
        ClothGrain.ALONG, description="along: warps lie along the roll; none: quarter turns too"
    )
    directional: bool = Field(
        False, description="pile, shade or print runs one way: every grain line points up the roll"
    )
    turn: tuple[Angle, ...] | None = Field(
        None, description='how pieces may be turned: [0, 180], or "none"'
    )
    gap: Extent | None = Field(None, description="between pieces; where not said, by the tool")
    repeat: Size | None = Field(None, description="of a pattern along the roll, for keep_level")
    on_hand: tuple[OnHand, ...] = Field((), description="remnants and rolls, in order of use")

    @field_validator("turn", mode="before")
    @classmethod
    def _none_is_no_turn(cls, turn: Any) -> Any:  # noqa: ANN401 (what TOML holds)
        return [0] if turn == "none" else turn

    @model_validator(mode="after")
    def _can_be_laid(self) -> Self:
        if self.width is not None and 2 * self.selvedge >= self.width:
            raise ValueError("the selvedges leave nothing of the width. Make selvedge smaller")
        if self.on_hand and self.width is None:
            raise ValueError('a cloth with on_hand needs a width. Add width = "… mm"')
        for entry in self.on_hand:
            if entry.width is not None and 2 * self.selvedge >= entry.width:
                raise ValueError("the selvedges leave nothing of what is on_hand")
        if self.turn is not None and not self.turn:
            raise ValueError('no turn is allowed at all. Write turn = "none" for pieces as drawn')
        if self.directional and any(abs(math.sin(a / 2)) > 1e-9 for a in self.turn or ()):
            raise ValueError("a directional cloth is not turned. Leave out turn")
        return self

    @property
    def turns(self) -> tuple[float, ...]:
        """Give the turns that a piece may take from lying along the warp, radians."""
        if self.turn is not None:
            return self.turn
        if self.directional:
            return (0.0,)
        quarters = 4 if self.grain is ClothGrain.NONE else 2
        return tuple(math.tau * number / quarters for number in range(quarters))
