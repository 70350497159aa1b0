"""What a machine's profile says about its bed: what it reaches, and how it counts there."""

from __future__ import annotations

from enum import StrEnum
from typing import Self

import numpy as np
from pydantic import Field, model_validator

from cutpath.geometry.transform import Matrix
from cutpath.settings.quantities import Extent, Size
from cutpath.settings.toml_file import Settings


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

    cloth_runs: Direction | None = Field(
        None, description="right or away; where not said, along the longer side"
    )
    continues: bool = Field(
        False, description="pieces longer than the bed are cut in parts, the cloth moved between"
    )
    overlap: Size = Field(20.0, description="how far such parts are cut twice where they join")

    @model_validator(mode="after")
    def _is_a_plane(self) -> Self:
        if np.dot(_ALONG[self.x], _ALONG[self.y]) != 0:
            raise ValueError(
                f"x goes {self.x} and y {self.y}: along one line. "
                "One of them goes right or left, the other away or near"
            )
        if self.cloth_runs in {Direction.LEFT, Direction.NEAR}:
            raise ValueError("cloth runs right or away, as the operator sees the bed")
        if 4 * self.overlap >= max(self.width, self.height):
            raise ValueError("the overlap is most of the bed. Make overlap smaller")
        if 2 * self.margin >= min(self.width, self.height):
            raise ValueError("the margins leave nothing of the bed. Make margin smaller")
        return self

    def to_machine(self) -> Matrix:
        """Give the 2 × 3 matrix from bed to machine coordinates, both mm."""
        axes = np.array([_ALONG[self.x], _ALONG[self.y]])
        origin = np.array(_SHARE[self.origin]) * (self.width, self.height)
        return np.column_stack([axes, 0.0 - axes @ origin])

    @property
    def runs_right(self) -> bool:
        """Tell whether cloth runs to the right on it, not away from the operator."""
        if self.cloth_runs is not None:
            return self.cloth_runs is Direction.RIGHT
        return self.width >= self.height
