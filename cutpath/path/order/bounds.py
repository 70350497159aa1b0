"""What no order can beat: the least travel between all stops."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.points import Floats, Ints, Points
from cutpath.path.order.stops import Work

MOST = 2500
"""Stops up to which the bound is worked out: its time grows with their square."""


def least_travel(work: Work, slack: float = 0.0) -> float | None:
    """Give what travel costs at least, whatever the order and the ways; None for too many stops.

    A route joins the start and all stops, so it costs no less than the least tree that joins them,
    each way being as short as the nearest ends of two stops allow (minimum spanning tree; R. C.
    Prim, "Shortest connection networks and some generalizations", 1957). Travel is taken to be
    ``slack`` mm shorter each time, for tools that end a little off where the line does.
    """
    count = len(work.stops)
    if count > MOST:
        return None
    if not count:
        return 0.0
    ends = _ends(work)
    points = np.concatenate(ends)
    firsts = np.concatenate([[0], np.cumsum([len(each) for each in ends])[:-1]]).astype(np.int64)
    gap = _reached(work.start[None], points, firsts)
    is_joined = np.zeros(count, dtype=bool)
    legs = np.empty(count)
    for number in range(count):
        nearest = int(np.where(is_joined, np.inf, gap).argmin())
        legs[number] = gap[nearest]
        is_joined[nearest] = True
        gap = np.minimum(gap, _reached(ends[nearest], points, firsts))
    return float(work.measure.many(np.maximum(legs - slack, 0.0)).sum())


def _ends(work: Work) -> list[Points]:
    """Give every place where a stop may be entered or left."""
    return [
        stop.entries
        if (stop.entries == stop.exits).all()
        else np.concatenate([stop.entries, stop.exits])
        for stop in work.stops
    ]


def _reached(origins: Points, points: Points, firsts: Ints) -> Floats:
    """Give how far each stop's nearest place is from the nearest of ``origins``, mm."""
    across = points[None] - origins[:, None]
    gap = np.hypot(across[..., 0], across[..., 1]).min(axis=0)
    return np.asarray(np.minimum.reduceat(gap, firsts))
