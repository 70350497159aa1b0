"""What a machine's profile says about how it moves: speeds, corners, the axis that turns blades."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import Field

from cutpath.settings.quantities import Angle, Extent, Seconds
from cutpath.settings.toml_file import Settings


class Motion(Settings):
    """How the machine moves. Nothing here changes the file, except where it says so."""

    travel_speed: float = Field(400.0, gt=0, le=10_000, description="tool up, mm/s")
    acceleration: float = Field(2_000.0, gt=0, le=100_000, description="mm/s²")
    corner_deviation: Extent = Field(
        0.05, le=5, description="how near to a corner the machine passes it without a stop"
    )
    lift_time: Seconds = Field(0.1, description="for one lift, where Z is not in the file")
    lower_time: Seconds = Field(0.1, description="for lowering, where Z is not in the file")
    tool_change_time: Seconds = Field(5.0, description="for one change of tools")
    feed_by_radius: bool = Field(
        False, description="write lower speeds on arcs, for a machine that does not slow by itself"
    )
    turning_axis: Literal["", "A", "B", "C"] = Field(
        "", description="RS274: the axis that turns blades, in degrees from +x"
    )
    turn_speed: float = Field(720.0, gt=0, le=100_000, description="of that axis, degrees/s")
    turn_range: Angle = Field(
        math.radians(360.0),
        ge=math.pi,
        description="how far that axis may turn to either side; blades unwind in the air",
    )
