"""What a machine's profile says about the machine's own faults, as they were measured.

In the machine's coordinates, what is told and what happens are related by

    real x = x_scale · x + y_scale · y · sin(skew),    real y = y_scale · y · cos(skew)

where each told axis first lags by half its backlash behind the way it was last driven. A tool's own
``offset`` is added to both. Files are written so that what happens is what was asked.
"""

from __future__ import annotations

import math

from pydantic import Field

from cutpath.settings.quantities import Angle, Extent
from cutpath.settings.toml_file import Settings

_SKEW_LIMIT = math.radians(5.0)


class Compensation(Settings):
    """A machine's faults, as measured; the defaults are a machine without any."""

    x_scale: float = Field(
        1.0, ge=0.9, le=1.1, description="mm that x really goes for each mm it is told"
    )
    y_scale: float = Field(
        1.0, ge=0.9, le=1.1, description="mm that y really goes for each mm it is told"
    )
    skew: Angle = Field(
        0.0,
        ge=-_SKEW_LIMIT,
        le=_SKEW_LIMIT,
        description="how far +y leans towards +x from a right angle",
    )
    x_backlash: Extent = Field(0.0, le=5, description="play of x where its direction turns")
    y_backlash: Extent = Field(0.0, le=5, description="play of y where its direction turns")
    advance_scale: float = Field(
        1.0, ge=0.9, le=1.1, description="mm that the cloth advances for each mm it is told"
    )

    @property
    def moves_places(self) -> bool:
        """Tell whether places in the file differ from those on the bed (tools' offsets apart)."""
        return (self.x_scale, self.y_scale, self.skew) != (1.0, 1.0, 0.0) or self.has_backlash

    @property
    def has_backlash(self) -> bool:
        """Tell whether an axis has play."""
        return bool(self.x_backlash or self.y_backlash)
