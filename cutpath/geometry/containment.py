"""Which loop lies in which, and which loop a point belongs to, for many at once.

Loops are flattened to 0.05 mm and indexed in an R-tree, so that the work grows with what is near.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Ints, Points

_FLATNESS = 0.05
_MOSTLY = 0.99
"""Share of a loop's area that must lie in another to count as inside: rounding crosses lines."""


def _polygons(loops: Sequence[Chain]) -> list[shapely.Geometry]:
    rings: list[shapely.Geometry] = []
    for loop in loops:
        points = flatten(loop, _FLATNESS).points
        ring = shapely.Polygon(points) if len(points) >= 3 else shapely.Polygon()
        rings.append(ring if ring.is_valid else ring.buffer(0))
    return rings


def parents(loops: Sequence[Chain]) -> list[int]:
    """Give for each closed loop the index of the smallest loop around it, or -1."""
    shapes = np.array(_polygons(loops), dtype=object)
    out = [-1] * len(loops)
    if not loops:
        return out
    areas = shapely.area(shapes)
    inner, outer = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    bigger = (areas[outer] > areas[inner]) | ((areas[outer] == areas[inner]) & (outer < inner))
    inner, outer = inner[bigger], outer[bigger]
    shared = shapely.area(shapely.intersection(shapes[inner], shapes[outer]))
    inside = shared >= _MOSTLY * areas[inner]
    inner, outer = inner[inside], outer[inside]
    # Largest around first, so that the smallest is written last.
    for index in np.lexsort((outer, -areas[outer])):
        out[int(inner[index])] = int(outer[index])
    return out


@dataclass(frozen=True, slots=True, eq=False)
class Yard:
    """Closed loops, ready to be asked what lies in and near them."""

    shapes: tuple[shapely.Geometry, ...]
    areas: tuple[shapely.STRtree, shapely.STRtree]

    @classmethod
    def of(cls, loops: Sequence[Chain]) -> Yard:
        """Index ``loops``."""
        shapes = _polygons(loops)
        borders = shapely.boundary(np.array(shapes, dtype=object))
        return cls(tuple(shapes), (shapely.STRtree(shapes), shapely.STRtree(borders)))

    def around(self, points: Points) -> Ints:
        """Give for each of (m, 2) points the smallest loop around it, or -1, (m,)."""
        out = np.full(len(points), -1)
        if not len(points) or not self.shapes:
            return out
        who, where = self.areas[0].query(shapely.points(points), predicate="intersects")
        size = shapely.area(np.array(self.shapes, dtype=object))
        for index in np.lexsort((where, -size[where])):
            out[who[index]] = where[index]
        return out

    def nearest_border(self, points: Points, within: float) -> Ints:
        """Give for each of (m, 2) points the loop whose line is nearest, or -1, (m,).

        Lines farther than ``within`` mm (and the flatness) don't count.
        """
        out = np.full(len(points), -1)
        if not len(points) or not self.shapes:
            return out
        (who, where), gap = self.areas[1].query_nearest(
            shapely.points(points), max_distance=within + _FLATNESS, return_distance=True
        )
        for index in np.lexsort((-where, -gap)):
            out[who[index]] = where[index]
        return out

    def touched(self, lines: Sequence[Chain], within: float) -> Ints:
        """Give for each open chain the loop whose line it comes nearest to, or -1, (m,).

        Loops farther than ``within`` mm (and the flatness) don't count.
        """
        out = np.full(len(lines), -1)
        if not len(lines) or not self.shapes:
            return out
        strings = [shapely.LineString(flatten(line, _FLATNESS).points) for line in lines]
        (who, where), gap = self.areas[1].query_nearest(
            strings, max_distance=within + _FLATNESS, return_distance=True
        )
        for index in np.lexsort((-where, -gap)):
            out[who[index]] = where[index]
        return out
