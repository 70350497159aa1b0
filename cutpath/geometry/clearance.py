"""How far outlines really lie apart: by shapely in float64, on finely flattened curves.

Nothing here is shared with the no-fit polygons that pieces are laid by, so that it can judge them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten

FLATNESS = 0.001
"""How far chords may lie inside their curves, mm; what is measured may be off by twice that."""
_SMALL = 1e-3
"""An overlap, mm², that only rounding makes."""


def _shape(outline: Chain, openings: Sequence[Chain]) -> shapely.Geometry:
    holes = [flatten(hole, FLATNESS).points for hole in openings]
    shape = shapely.Polygon(flatten(outline, FLATNESS).points, holes)
    return shape if shape.is_valid else shape.buffer(0)


def close_outlines(
    outlines: Sequence[Chain], openings: Sequence[Sequence[Chain]], within: float
) -> list[tuple[int, int, float]]:
    """Give (i, j, mm between) for each two closed outlines nearer than ``within``; 0 is touching.

    ``openings[i]`` are loops cut out of outline i. Overlap counts as 0. With ``within`` not above 0
    outlines may touch, and only those that overlap are given.
    """
    shapes = [_shape(loop, holes) for loop, holes in zip(outlines, openings, strict=True)]
    tree, table = shapely.STRtree(shapes), np.array(shapes, dtype=object)
    if within > 0:
        first, second = tree.query(shapes, predicate="dwithin", distance=within)
    else:
        first, second = tree.query(shapes, predicate="intersects")
    apart = first < second
    first, second = first[apart], second[apart]
    gaps = shapely.distance(table[first], table[second])
    if within > 0:
        counts = gaps < within
    else:
        counts = shapely.area(shapely.intersection(table[first], table[second])) > _SMALL
    found = zip(first[counts].tolist(), second[counts].tolist(), gaps[counts].tolist(), strict=True)
    return sorted(found)


def over_boxes(
    outlines: Sequence[Chain], boxes: Sequence[tuple[float, float, float, float]]
) -> list[tuple[int, int]]:
    """Give (outline, box) for each outline that lies over a box (x, y, length, width), mm."""
    if not boxes:
        return []
    shapes = np.array([_shape(loop, ()) for loop in outlines], dtype=object)
    spots = np.array([shapely.box(x, y, x + dx, y + dy) for x, y, dx, dy in boxes], dtype=object)
    outline, box = shapely.STRtree(spots).query(shapes, predicate="intersects")
    over = shapely.area(shapely.intersection(shapes[outline], spots[box])) > _SMALL
    return sorted(zip(outline[over].tolist(), box[over].tolist(), strict=True))
