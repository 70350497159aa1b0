"""The faults of a machine, as the replay knows them: what happens for what is told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from cutpath.replay.tracing import Spot


@dataclass(frozen=True, slots=True)
class Faults:
    """A machine's faults in its own coordinates: what happens for what is told.

    ``x_scale`` and ``y_scale`` mm a mm told, ``skew`` radians that +y leans towards +x, plays the
    whole backlash in mm; ``offsets`` where tools land beside the place told, mm, by number.
    """

    x_scale: float = 1.0
    y_scale: float = 1.0
    skew: float = 0.0
    x_play: float = 0.0
    y_play: float = 0.0
    offsets: Mapping[int, Spot] = field(default_factory=dict)

    @property
    def none(self) -> bool:
        """Tell whether all happens as it is told."""
        is_true = (self.x_scale, self.y_scale, self.skew) == (1.0, 1.0, 0.0)
        return is_true and not self.has_play and not self.has_offsets

    @property
    def has_offsets(self) -> bool:
        """Tell whether a tool lands beside the place told."""
        return any(any(offset) for offset in self.offsets.values())

    @property
    def has_play(self) -> bool:
        """Tell whether an axis lags where it turns back."""
        return bool(self.x_play or self.y_play)

    @property
    def keeps_arcs(self) -> bool:
        """Tell whether told arcs really are arcs."""
        return self.x_scale == self.y_scale and self.skew == 0.0 and not self.has_play


NO_FAULTS = Faults()
