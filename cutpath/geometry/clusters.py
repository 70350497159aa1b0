"""Which points lie together."""

from __future__ import annotations

import numpy as np
import shapely

from cutpath.geometry.points import Ints, Points


def clusters(points: Points, within: float) -> Ints:
    """Give each of (n, 2) ``points`` the number of its group, linked by steps ``within`` mm, (n,).

    Groups are numbered by their first point. Near-linear time.
    """
    spots, which = np.unique(points, axis=0, return_inverse=True)
    which = which.reshape(-1)
    parent = np.arange(len(spots))
    if within > 0 and len(spots) > 1:
        shapes = [shapely.Point(spot) for spot in spots]
        tree = shapely.STRtree(shapes)
        first, second = tree.query(shapes, predicate="dwithin", distance=within)
        apart = first < second
        for a, b in zip(first[apart].tolist(), second[apart].tolist(), strict=True):
            _union(parent, a, b)
    roots = _roots(parent)[which]
    _, start, label = np.unique(roots, return_index=True, return_inverse=True)
    rank = np.empty(len(start), dtype=np.int64)
    rank[np.argsort(start, kind="stable")] = np.arange(len(start))
    return np.asarray(rank[label.reshape(-1)])


def _find(parent: Ints, index: int) -> int:
    while parent[index] != index:
        parent[index] = parent[parent[index]]
        index = int(parent[index])
    return index


def _union(parent: Ints, a: int, b: int) -> None:
    low, high = sorted((_find(parent, a), _find(parent, b)))
    parent[high] = low


def _roots(parent: Ints) -> Ints:
    while True:
        above = parent[parent]
        if np.array_equal(above, parent):
            return parent
        parent = above
