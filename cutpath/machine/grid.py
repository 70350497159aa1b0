"""Millimetres to the whole numbers that a file carries.

Absolute places are rounded, and steps are taken between rounded places: errors never add up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate, pairwise

import numpy as np

from cutpath.errors import MachineError
from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Ints
from cutpath.moves import Follow, Move, Travel


def on_grid(mm: Floats, units_per_mm: float) -> Ints:
    """Round (..., 2) or (...) lengths to whole units.

    Halves that differ in their last bits by the platform's sine are first made equal (1e-6 of a
    unit), so that every platform writes the same number.
    """
    return np.asarray(np.rint(np.round(mm * units_per_mm, 6)), dtype=np.int64)


def within_range(places: Ints, largest: int, units_per_mm: float) -> Ints:
    """Give ``places``, (n, 2), back. Raises MachineError for a number the machine cannot count to.

    A number out of range is clamped or wrapped by the machine without a word, so it is refused.
    """
    if len(places) and int(np.abs(places).max()) > largest:
        row, axis = np.unravel_index(int(np.abs(places).argmax()), places.shape)
        value = int(places[row, axis])
        raise MachineError(
            f"{'xy'[axis]} = {value / units_per_mm:.1f} mm is {value} units, and this machine "
            f"counts to ±{largest} ({largest / units_per_mm:.1f} mm)",
            remedy="Lay the piece nearer to the origin, put the origin in the middle of the bed, "
            "or raise largest_number in [output] when the machine's manual allows it.",
        )
    return places


def chord_points(chain: Chain, tolerance: float) -> Floats:
    """Give (m, 2) points on ``chain``, which is open, whose chords stay within ``tolerance`` mm."""
    return flatten(chain, tolerance).points if chain.bulges.any() else chain.points


def places_of(
    moves: Sequence[Move],
    points_on: Callable[[Chain], Floats],
    largest: int,
    units_per_mm: float,
) -> Iterator[Ints]:
    """Give the whole places, (n, 2), of each Travel and Follow among ``moves``, in order.

    All are rounded at once, which is many times as fast as one by one. ``points_on`` gives the
    points of a followed chain, mm. Raises MachineError for a number out of range.
    """
    parts = [
        points_on(move.chain) if isinstance(move, Follow) else np.reshape(move.to, (1, 2))
        for move in moves
        if isinstance(move, Travel | Follow)
    ]
    if not parts:
        return iter(())
    whole = within_range(on_grid(np.concatenate(parts), units_per_mm), largest, units_per_mm)
    bounds = accumulate((len(part) for part in parts), initial=0)
    return (whole[first:last] for first, last in pairwise(bounds))


def steps_from(at: tuple[int, int], places: Ints) -> list[tuple[int, int]]:
    """Give ``places`` as pairs, without those that stay where the one before is."""
    out = []
    for x, y in places.tolist():
        if (x, y) != at:
            at = (x, y)
            out.append(at)
    return out
