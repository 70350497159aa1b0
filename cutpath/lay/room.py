"""How a cloth's rules and the machine's bed become room to lay on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError, MachineError
from cutpath.geometry.transform import Matrix, compose, translation
from cutpath.laid import Stock
from cutpath.lay.shapes import EDGE, Shape
from cutpath.lay.split_offer import best_splits
from cutpath.model import Piece, Role
from cutpath.settings.cloth_entry import Cloth
from cutpath.settings.profile import Bed, Profile, Tool
from cutpath.units import format_length, format_size

NEW_ROLL = "new roll"
_COLD, _HOT = 3.0, 6.0
_ROUNDING = 1e-6
_CLEAR = 1.0
"""Between the next piece and the end of what is cut in the waste, mm (our choice)."""
_PLAIN = 25.4
"""Room for the allowance of a new seam, mm: a plain one of 12.7 fits, so does one of 1 in."""
_Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Reach:
    """What of a cloth the bed takes at once, mm: ``along`` the roll, and from ``low`` to ``high``.

    Both count from the cloth's near edge, which lies ``offset`` from the bed's.
    """

    along: float
    low: float
    high: float
    offset: float


def reach_of(bed: Bed, cloth: Cloth) -> Reach:
    """Give the reach; the selvedge lies in the bed's margin as far as it goes."""
    along, across = bed.width, bed.height
    if not bed.runs_right:
        along, across = across, along
    offset = max(bed.margin - cloth.selvedge, 0.0)
    room = along - 2 * bed.margin
    return Reach(room, bed.margin - offset, across - bed.margin - offset, offset)


def gap_of(cloth: Cloth, profile: Profile) -> float:
    """Give the gap between pieces, mm: what the cloth says, else by the tool that cuts.

    3 mm for a cold blade and 6 for a hot one, its kerf, and on both sides how far a drag blade's
    tip trails (common practice, no source: 3 to 5 for drag blades, 6 to 10 for hot ones). What it
    cuts in the waste, a lead-in or past a corner, stays clear of the next piece.
    """
    if cloth.gap is not None:
        return cloth.gap
    knives = [tool for tool in profile.tools.values() if Role.KNIFE in tool.roles]
    return max((_room_for(tool) for tool in knives), default=_COLD)


def _room_for(tool: Tool) -> float:
    base = _HOT if tool.role is Role.HOT else _COLD
    beyond = max(tool.lead_in, tool.overlap)
    return max(base + 2 * tool.blade_offset, beyond + _CLEAR if beyond else 0.0) + tool.kerf


def stocks_of(cloth: Cloth, reach: Reach) -> tuple[Stock, ...]:
    """Give what there is to lay on: all that is on hand, in order, and then a new roll.

    The cloth's width must be known.
    """
    assert cloth.width is not None
    stocks = [
        _stock(
            entry.name or f"remnant {number}",
            (entry.length, entry.width or cloth.width),
            cloth,
            reach,
            entry.flaws,
        )
        for number, entry in enumerate(cloth.on_hand, start=1)
    ]
    return (*stocks, _stock(NEW_ROLL, (None, cloth.width), cloth, reach, ()))


def _stock(
    name: str,
    size: tuple[float | None, float],
    cloth: Cloth,
    reach: Reach,
    flaws: tuple[_Box, ...],
) -> Stock:
    length, width = size
    low = max(cloth.selvedge, reach.low)
    high = min(width - cloth.selvedge, reach.high)
    return Stock(name, length, width, low, max(high, low), flaws)


def fitting_shapes(
    pieces: Sequence[Piece],
    shapes: Sequence[Shape],
    cloth: Cloth,
    profile: Profile,
    reach: Reach,
) -> tuple[Shape, ...]:
    """Give the shapes with only those turns that the bed can take.

    Raises InputError for a piece that is wider than its cloth, MachineError for one too large for
    the bed.
    """
    assert cloth.width is not None
    widths = [entry.width or cloth.width for entry in cloth.on_hand] + [cloth.width]
    usable = max(widths) - 2 * cloth.selvedge
    across = min(usable, reach.high - reach.low) + EDGE
    out = []
    for piece, shape in zip(pieces, shapes, strict=True):
        least = min(pose.width for pose in shape.poses)
        if least > usable + EDGE:
            raise _too_wide(piece, least, usable, cloth)
        poses = tuple(
            pose
            for pose in shape.poses
            if pose.width <= across
            and (profile.bed.continues or pose.length <= reach.along + _ROUNDING)
        )
        if not poses:
            raise _too_large(piece, shape, profile, reach)
        out.append(replace(shape, poses=poses))
    return tuple(out)


def _too_wide(piece: Piece, width: float, usable: float, cloth: Cloth) -> InputError:
    at = best_splits(piece, usable, _PLAIN)
    panel = f"[panels.{piece.panel}]"
    if at:
        offer = ", ".join(f'"{distance:g} mm"' for distance in at)
        remedy = f"split = [{offer}] in {panel} keeps clear of windows and marks."
    else:
        remedy = "no straight line along the warp keeps clear of its windows, marks and bays."
    remedy = f"Use a wider cloth, or split the panel with a seam: {remedy}"
    return InputError(
        f"piece '{piece.name}' is {format_length(width)} across the warp with its allowances; "
        f"'{cloth.name or piece.cloth}' takes {format_length(usable)} between its selvedges",
        piece.source,
        remedy,
    )


def _too_large(piece: Piece, shape: Shape, profile: Profile, reach: Reach) -> MachineError:
    least = min(shape.poses, key=lambda pose: pose.width)
    takes = format_size(reach.along, reach.high - reach.low)
    return MachineError(
        f"piece '{piece.name}' is {format_size(least.length, least.width)} with its allowances "
        f"and does not fit '{profile.name}', whose bed takes {takes} inside its margins",
        piece.source,
        "Use a machine with a larger bed, or split the panel with a seam. A machine that can go on "
        "where it stopped, once the cloth has moved, says continues = true in [bed].",
    )


def cloth_to_bed(bed: Bed, reach: Reach, start: float) -> Matrix:
    """Give where a cloth's coordinates lie on the bed when ``start`` mm of it has passed.

    The cloth runs from the operator's left or from near to far, its near edge on the right then.
    """
    if bed.runs_right:
        return translation(bed.margin - start, reach.offset)
    quarter = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0]])
    return compose(translation(bed.width - reach.offset, bed.margin - start), quarter)
