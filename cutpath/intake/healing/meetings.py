"""Which ends of open curves lie near enough to be joined."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.close_pairs import close_pairs, spread_ranges
from cutpath.geometry.points import Floats, Ints, Points

SAME_PLACE = 1e-6
"""Ends nearer than this, mm, are told apart by rounding only."""
_LENGTHS_PER_GAP = 4.0
"""A curve closes on itself only when it is this many times as long as the gap."""
_MOST_IN_ONE_PLACE = 5_000
_MOST_PER_PLACE = 40
"""More places than this near each, on the average, is a drawing read in the wrong unit."""


@dataclass(frozen=True, slots=True, eq=False)
class Meetings:
    """Pairs of ends that may be joined, first < second, and the gap between them, each (k,).

    End number 2 i is where curve i begins, 2 i + 1 where it ends.
    """

    first: Ints
    second: Ints
    gap: Floats


def closes_itself(length: float, gap: float) -> bool:
    """Tell whether a curve with this gap between its own ends is a loop and not a dash."""
    return length > _LENGTHS_PER_GAP * gap


def meetings(ends: Points, lengths: Floats, tolerance: float) -> Meetings:
    """Give the pairs of (2 n, 2) ``ends`` of curves with ``lengths`` (n,) that may be joined.

    Two ends alone in exactly one place are a pair, and then nothing else near is asked: a finely
    drawn curve has many joints within ``tolerance`` of each other. Raises InputError when too
    many ends lie together to tell what joins what.
    """
    node, spots, order, degree, begin = _places(ends)
    if degree.max() > _MOST_IN_ONE_PLACE:
        raise _crowded(spots[int(degree.argmax())])
    try:
        a, b = close_pairs(spots, tolerance, degree != 2)
    except OverflowError:
        raise _crowded(spots[0]) from None
    if len(a) > _MOST_PER_PLACE * len(spots):
        raise _crowded(spots[int(a[0])])
    several = np.flatnonzero(degree > 1)
    a, b = np.concatenate([several, a]), np.concatenate([several, b])
    count = degree[a] * degree[b]
    within = spread_ranges(np.zeros_like(count), count)
    wide = np.repeat(degree[b], count)
    first = order[np.repeat(begin[a], count) + within // wide]
    second = order[np.repeat(begin[b], count) + within % wide]
    proper = np.logical_or(node[first] != node[second], first < second)
    first, second = first[proper], second[proper]
    first, second = np.minimum(first, second), np.maximum(first, second)
    gap = np.hypot(*(ends[first] - ends[second]).T)
    is_own = first // 2 == second // 2
    good = ~is_own | (lengths[first // 2] > _LENGTHS_PER_GAP * gap)
    return Meetings(first[good], second[good], gap[good])


def _places(ends: Points) -> tuple[Ints, Points, Ints, Ints, Ints]:
    """Give each end's place, the places, and the ends in each: sorted, how many, from where."""
    cells = np.round(ends / SAME_PLACE)
    order = np.lexsort((cells[:, 1], cells[:, 0]))
    ranked = cells[order]
    is_new = np.concatenate([[True], (ranked[1:] != ranked[:-1]).any(axis=1)])
    node = np.empty(len(ends), dtype=np.int64)
    node[order] = np.cumsum(is_new) - 1
    begin = np.flatnonzero(is_new)
    degree = np.diff(np.append(begin, len(ends)))
    return node, ends[order[begin]], order, degree, begin


def _crowded(spot: Floats) -> InputError:
    error = InputError(
        "so many line ends lie within the joining tolerance here that no outline can be told",
        remedy="Check the drawing's unit (--units), or lower the joining tolerance (--join).",
    )
    error.source = type(error.source)(xy=(float(spot[0]), float(spot[1])))
    return error
