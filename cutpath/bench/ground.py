"""The part of a bed that a test pattern may use, along the machine's axes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutpath.errors import InputError, MachineError
from cutpath.geometry.points import Point
from cutpath.geometry.transform import Matrix, compose, inverse, translation
from cutpath.settings.profile import Profile
from cutpath.units import format_length

_ROOM = 15.0
"""mm inside the bed's margin: from there tools come to the pattern's outermost strokes."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """``width`` mm along the machine's x, ``height`` along its y, from the corner of least x and y.

    ``to_bed`` moves what is drawn on it to its place on the bed. ``runs`` is the direction in which
    cloth runs, a unit vector along one of the axes; ``rest`` the bed's corner of least x and y,
    where a hot tool waits.
    """

    width: float
    height: float
    to_bed: Matrix
    runs: Point
    rest: Point


def ground_of(profile: Profile) -> Ground:
    """Give the ground of the profile's bed. Raises MachineError where nothing is left of it."""
    x0, y0, x1, y1 = profile.reach()
    inset = profile.bed.margin + _ROOM + max(t.blade_offset for t in profile.tools.values())
    width, height = x1 - x0 - 2 * inset, y1 - y0 - 2 * inset
    if min(width, height) <= 0:
        raise MachineError(
            f"the bed of '{profile.name}' has no room for a test pattern",
            remedy=f"A pattern keeps {format_length(inset)} free along each side: "
            "make margin in [bed] smaller.",
        )
    to_bed = compose(inverse(profile.bed_to_machine()), translation(x0 + inset, y0 + inset))
    runs = np.rint(profile.run_in_machine())
    return Ground(width, height, to_bed, runs, np.array([-inset, -inset]))


def room_for(
    ground: Ground,
    asked: tuple[float, float] | None,
    least: tuple[float, float],
    usual: tuple[float, float] = (np.inf, np.inf),
    step: float = 50.0,
) -> tuple[float, float]:
    """Give the size of a pattern along x and y, mm: as ``asked``, or as large as usual and bed let.

    What nobody asked for is rounded down to whole ``step``s where the bed is the limit. Raises
    InputError for a size that the bed or the pattern itself does not allow, MachineError for a bed
    that is too small for it.
    """
    most = (ground.width, ground.height)
    if any(m < low for m, low in zip(most, least, strict=True)):
        raise MachineError(
            f"the pattern needs {least[0]:.0f} × {least[1]:.0f} mm, and the bed leaves "
            f"{most[0]:.0f} × {most[1]:.0f} mm",
            remedy="Make margin in [bed] smaller, or use a larger machine.",
        )
    if asked is None:
        found = []
        for low, high, wanted in zip(least, most, usual, strict=True):
            found.append(wanted if wanted <= high else max(low, high // step * step))
        return found[0], found[1]
    for axis, size, low, high in zip("xy", asked, least, most, strict=True):
        if not low - 1e-6 <= size <= high + 1e-6:
            raise InputError(
                f"a size of {size:g} mm along {axis} cannot be",
                remedy=f"Give {low:.0f} to {np.floor(high):.0f} mm along {axis}.",
            )
    return asked
