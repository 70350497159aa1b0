"""How far one set of curves strays from another: the directed Hausdorff distance, certified.

Along a straight piece the distance to one straight target is convex, so it is largest at an end.
That bounds every piece from above; pieces whose bound could still beat the best place found are
halved until none can, by more than the certainty asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Ints, Point, Points

_MOST_HALVINGS = 60
_LONG_RUN = 64


@dataclass(frozen=True, slots=True, eq=False)
class Straying:
    """The largest distance found, mm, and the place on the first set where it is."""

    distance: float
    place: Point


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Straight pieces from ``starts`` to ``ends``, each (n, 2) mm."""

    starts: Points
    ends: Points


def straight_pieces(chains: Sequence[Chain], tolerance: float) -> Pieces:
    """Give all segments of ``chains`` as straight pieces within ``tolerance`` mm of them."""
    starts, ends = [np.empty((0, 2))], [np.empty((0, 2))]
    for chain in chains:
        points = flatten(chain, tolerance).points
        starts.append(points if chain.closed else points[:-1])
        ends.append(np.roll(points, -1, axis=0) if chain.closed else points[1:])
    return Pieces(np.concatenate(starts), np.concatenate(ends))


def largest_distance(sources: Pieces, targets: Pieces, certainty: float) -> Straying:
    """Give the largest distance from any point of ``sources`` to the nearest of ``targets``.

    The true value is at most ``certainty`` mm above the one given, and never below it; it is
    infinite without targets, and 0 without sources.
    """
    if not len(sources.starts):
        return Straying(0.0, np.zeros(2))
    if not len(targets.starts):
        return Straying(float("inf"), sources.starts[0])
    ends = np.stack([targets.starts, targets.ends], axis=1)
    tree = shapely.STRtree(np.asarray(shapely.linestrings(ends)))
    start, end = sources.starts, sources.ends
    at_start, at_end = _nearest_to_ends(tree, start, end)
    best = Straying(-1.0, start[0])
    for _ in range(_MOST_HALVINGS):
        far_start = _to_target(start, targets, at_start)
        far_end = _to_target(end, targets, at_end)
        best = _larger(_larger(best, start, far_start), end, far_end)
        bound = np.minimum(
            np.maximum(far_start, _to_target(end, targets, at_start)),
            np.maximum(_to_target(start, targets, at_end), far_end),
        )
        # The distance changes by at most the way gone, from either end.
        size = np.hypot(*(end - start).T)
        bound = np.minimum(bound, (far_start + far_end + size) / 2)
        over_joints = _joints_gap(start, end, targets, at_start, at_end)
        bound = np.minimum(bound, np.maximum(np.maximum(far_start, far_end), over_joints))
        rows = np.flatnonzero(bound > best.distance + certainty)
        if not len(rows):
            break
        middle = (start[rows] + end[rows]) / 2
        at_middle = _nearest(tree, middle)
        at_start = np.concatenate([at_start[rows], at_middle])
        at_end = np.concatenate([at_middle, at_end[rows]])
        start, end = np.concatenate([start[rows], middle]), np.concatenate([middle, end[rows]])
    return best


def _joints_gap(
    start: Points, end: Points, targets: Pieces, at_start: Ints, at_end: Ints
) -> Floats:
    """Give how near each piece comes to the farthest joint between the targets of its ends, (n,).

    Where those targets are some of one run, the piece goes by their joints: between its places
    nearest to two of them, one target and the distances of these joints bound it. Infinite where
    they belong to no one run, or to a long one.
    """
    low, count = np.minimum(at_start, at_end), np.abs(at_start - at_end)
    parted = np.append((targets.ends[:-1] != targets.starts[1:]).any(axis=1), True)
    ends_before = np.concatenate([[0], np.cumsum(parted)])
    is_run = ends_before[low] == ends_before[low + count]
    rows = np.flatnonzero((count > 0) & (count <= _LONG_RUN) & is_run)
    gaps = np.full(len(start), np.inf)
    if not len(rows):
        return gaps
    counts = count[rows]
    first = np.cumsum(counts) - counts
    joint = np.arange(int(counts.sum())) - np.repeat(first - low[rows], counts)
    far = _to_target(targets.ends[joint], Pieces(start, end), np.repeat(rows, counts))
    gaps[rows] = np.maximum.reduceat(far, first)
    return gaps


def _nearest_to_ends(tree: shapely.STRtree, start: Points, end: Points) -> tuple[Ints, Ints]:
    """Give the targets nearest to both ends; an end that is the next one's start is asked once."""
    at_start = _nearest(tree, start)
    goes_on = np.append((end[:-1] == start[1:]).all(axis=1), False)
    at_end = np.append(at_start[1:], 0)
    rows = np.flatnonzero(~goes_on)
    at_end[rows] = _nearest(tree, end[rows])
    return at_start, at_end


def _nearest(tree: shapely.STRtree, points: Points) -> Ints:
    found = tree.query_nearest(shapely.points(points), all_matches=False)
    return np.asarray(found[1], dtype=np.int64)


def _to_target(points: Points, targets: Pieces, rows: Ints) -> Floats:
    """Give the distance from each point to the target of the same row."""
    start = targets.starts[rows]
    way = targets.ends[rows] - start
    square = np.sum(way * way, axis=1)
    along = np.sum((points - start) * way, axis=1)
    share = np.clip(np.divide(along, square, out=np.zeros_like(along), where=square > 0), 0, 1)
    return np.asarray(np.hypot(*(points - start - share[:, None] * way).T))


def _larger(best: Straying, points: Points, distances: Floats) -> Straying:
    row = int(distances.argmax())
    if distances[row] <= best.distance:
        return best
    return Straying(float(distances[row]), points[row].copy())
