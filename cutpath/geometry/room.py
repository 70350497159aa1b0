"""Room inside an outline, distances between outlines, and lines clipped to one: by shapely."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from cutpath.geometry.chain import Chain, polyline
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Point

_COARSE = 0.2
_FINE = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """Free cloth inside an outline, clear of what is already there."""

    shape: BaseGeometry
    spots: Floats

    @classmethod
    def inside(cls, outline: Chain, taken: Sequence[Chain], clear: float) -> Room:
        """Give the room inside ``outline``, ``clear`` mm away from it and from ``taken``.

        A closed chain takes all that it surrounds.
        """
        shape: BaseGeometry = _polygon(outline).buffer(-clear, quad_segs=2)
        blocks = [
            _polygon(chain) if chain.closed else shapely.LineString(_points(chain))
            for chain in taken
        ]
        if blocks:
            shape = shape.difference(shapely.union_all(blocks).buffer(clear, quad_segs=1))
        shapely.prepare(shape)
        return cls(shape, _likely_spots(shape))

    def place(
        self, width: float, height: float, angles: Sequence[float]
    ) -> tuple[Point, float] | None:
        """Give centre and angle of a free ``width`` × ``height`` rectangle, or None.

        ``angles`` are tried in order at each likely spot, best spots first.
        """
        for angle in angles:
            for spots in (self.spots[:1], self.spots[1:]):  # the roomiest mostly does
                free = shapely.contains_properly(self.shape, _boxes(spots, width, height, angle))
                if free.any():
                    return spots[int(np.argmax(free))], angle
        return None

    def without(self, center: Point, width: float, height: float, angle: float) -> Room:
        """Give the room left when a rectangle is taken."""
        box = _boxes(center[None], width, height, angle)[0]
        shape = self.shape.difference(box)
        shapely.prepare(shape)
        return Room(shape, self.spots)


def _points(chain: Chain) -> Floats:
    points = flatten(chain, _COARSE).points
    return np.concatenate([points, points[:1]]) if chain.closed else points


def _polygon(outline: Chain) -> BaseGeometry:
    return shapely.Polygon(flatten(outline, _COARSE).points).buffer(0)


def _boxes(centers: Floats, width: float, height: float, angle: float) -> NDArray[np.object_]:
    """Give turned rectangles about (n, 2) ``centers`` as polygons, (n,)."""
    cos, sin = math.cos(angle) / 2, math.sin(angle) / 2
    across, up = np.array([cos, sin]) * width, np.array([-sin, cos]) * height
    corners = np.array([-across - up, across - up, across + up, up - across, -across - up])
    rings = shapely.linearrings(centers[:, None] + corners[None])
    return np.asarray(shapely.polygons(rings))


def _likely_spots(shape: BaseGeometry) -> Floats:
    """Give points inside, the roomiest middle first and a grid by distance from it after."""
    if shape.is_empty:
        return np.zeros((0, 2))
    area = cast(shapely.MultiPolygon, shape)
    pole = shapely.maximum_inscribed_circle(area, tolerance=1.0)
    middle = shapely.get_coordinates(pole)[0]
    low_x, low_y, high_x, high_y = shape.bounds
    xs, ys = np.linspace(low_x, high_x, 19)[1:-1], np.linspace(low_y, high_y, 19)[1:-1]
    grid = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    order = np.argsort(np.hypot(*(grid - middle).T), kind="stable")
    return np.concatenate([middle[None], grid[order]])


def too_close(
    loops: Sequence[Chain], openings: Sequence[Sequence[Chain]], gap: float
) -> tuple[int, int] | None:
    """Give the indices of two loops that overlap or lie within ``gap`` mm, or None.

    ``openings[i]`` are closed chains cut out of loop i: another loop may lie in one.
    """
    shapes = [
        shapely.difference(_polygon(loop), shapely.union_all([_polygon(hole) for hole in holes]))
        if holes
        else _polygon(loop)
        for loop, holes in zip(loops, openings, strict=True)
    ]
    first, second = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=gap)
    apart = first < second
    return (int(first[apart][0]), int(second[apart][0])) if apart.any() else None


def contained_pairs(inner: Sequence[Chain], outer: Sequence[Chain]) -> list[tuple[int, int]]:
    """Give (i, j) where loop ``inner[i]`` lies inside loop ``outer[j]``."""
    if not inner or not outer:
        return []
    tree = shapely.STRtree([_polygon(loop) for loop in inner])
    j, i = tree.query([_polygon(loop) for loop in outer], predicate="contains_properly")
    return list(zip(i.tolist(), j.tolist(), strict=True))


def parts_inside(chain: Chain, outline: Chain) -> tuple[Chain, ...]:
    """Give the parts of an open ``chain`` inside ``outline``, as straight pieces to 0.01 mm."""
    line = shapely.LineString(flatten(chain, _FINE).points)
    cut = line.intersection(shapely.Polygon(flatten(outline, _FINE).points).buffer(0))
    lines = shapely.get_parts(cut)
    return tuple(
        polyline(shapely.get_coordinates(part))
        for part in lines
        if part.geom_type == "LineString" and part.length > 0.1
    )
