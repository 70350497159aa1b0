"""The values of a profile that measured numbers can settle."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from cutpath.settings.profile import Profile

Values = Mapping[str, float]
"""Every value by its name: mm, radians, or mm a mm."""


class Kind(Enum):
    """What a value counts. ``step`` is what matters of it; looser than ``loosest`` is no answer."""

    SCALE = (1e-3, 0.005)
    ANGLE = (1e-3, math.radians(0.5))
    LENGTH = (0.1, 0.5)

    def __init__(self, step: float, loosest: float) -> None:
        self.step = step
        self.loosest = loosest


@dataclass(frozen=True, slots=True)
class Unknown:
    """One value: its ``name``, where it stands in a profile, what it is now, and what it may be.

    ``pattern`` is the test pattern that is made to settle it.
    """

    name: str
    key: tuple[str, ...]
    kind: Kind
    told: float
    least: float
    most: float
    pattern: str


_MACHINE = {
    "x_scale": (Kind.SCALE, (0.9, 1.1, "scale")),
    "y_scale": (Kind.SCALE, (0.9, 1.1, "scale")),
    "skew": (Kind.ANGLE, (-math.radians(5), math.radians(5), "scale")),
    "x_backlash": (Kind.LENGTH, (0.0, 5.0, "backlash")),
    "y_backlash": (Kind.LENGTH, (0.0, 5.0, "backlash")),
    "advance_scale": (Kind.SCALE, (0.9, 1.1, "advance")),
}
_FARTHEST = 1e4
"""How far a tool may sit beside another, mm."""


def unknowns_of(profile: Profile) -> dict[str, Unknown]:
    """Give every value of ``profile`` that can be measured, by name."""
    found = [
        Unknown(name, ("compensation", name), kind, getattr(profile.compensation, name), *rest)
        for name, (kind, rest) in _MACHINE.items()
    ]
    for tool, said in profile.tools.items():
        aside = "drill" if said.role.value == "drill" else "tools"
        rows = (
            ("offset_x", said.offset[0], -_FARTHEST, _FARTHEST, aside),
            ("offset_y", said.offset[1], -_FARTHEST, _FARTHEST, aside),
            ("blade_offset", said.blade_offset, 0.0, 50.0, "blade"),
            ("diameter", said.diameter or 0.0, 0.0, 100.0, "drill"),
        )
        for word, told, least, most, pattern in rows:
            key = ("tools", tool, word.split("_", maxsplit=1)[0] if "offset_" in word else word)
            found.append(Unknown(f"{tool}.{word}", key, Kind.LENGTH, told, least, most, pattern))
    return {unknown.name: unknown for unknown in found}
