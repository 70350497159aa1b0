"""Where one polygon may lie beside others: no-fit polygons, and what room they leave.

The no-fit polygon of a fixed polygon A and a moving one B holds the places of B's origin at which
both overlap: the Minkowski sum of A and −B (Art, "An approach to the two dimensional irregular
cutting stock problem", 1966, for the idea; the sum as such is textbook geometry). On its boundary
they touch. Everything is in whole micrometres, so that Clipper's answers are exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pyclipper
import shapely

from cutpath.geometry.points import Floats, Ints, Points

PER_MM = 1000
"""Units a mm."""

Path = Ints
"""One ring, (n, 2) whole micrometres; outer rings counter-clockwise, holes clockwise."""


def as_path(points: Points) -> Path:
    """Give mm as whole micrometres."""
    return np.rint(points * PER_MM).astype(np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """A simple counter-clockwise ring, made ready for sums with others.

    ``box`` is its least and most x and y, (4,). For a convex one ``edges`` are those of the ring
    and of its point mirror, each from the lowest vertex on, with their ``angles`` from 0 to 2π.
    """

    path: Path
    box: Ints
    lowest: tuple[Ints, Ints]
    edges: tuple[Path, Path] | None
    angles: tuple[Floats, Floats] | None

    @classmethod
    def of(cls, path: Path) -> Ring:
        """Make ``path`` ready."""
        box = np.concatenate([path.min(axis=0), path.max(axis=0)])
        turned = [_from_lowest(path), _from_lowest(-path)]
        lowest = turned[0][0], turned[1][0]
        edges = [np.roll(ring, -1, axis=0) - ring for ring in turned]
        edges = [steps[(steps != 0).any(axis=1)] for steps in edges]
        if (_cross(edges[0], np.roll(edges[0], -1, axis=0)) < 0).any():
            return cls(path, box, lowest, None, None)
        angles = [np.arctan2(steps[:, 1], steps[:, 0]) for steps in edges]
        angles = [np.where(each < 0, each + 2 * np.pi, each) for each in angles]
        return cls(path, box, lowest, (edges[0], edges[1]), (angles[0], angles[1]))


def no_fit(fixed: Ring, moving: Ring) -> tuple[Path, ...]:
    """Give the no-fit polygon of two rings, both about their origins.

    Most often it is one ring. A hole in it is a pocket of the one into which the other fits.
    """
    if fixed.edges is not None and moving.edges is not None:
        return (_convex_sum(fixed, moving),)
    rings = [
        np.array(ring, dtype=np.int64)
        for ring in pyclipper.MinkowskiSum((-moving.path).tolist(), fixed.path.tolist(), True)
    ]
    return tuple(
        ring
        for ring in rings
        if _doubled_area(ring) > 0 or _is_pocket(ring, fixed.path, moving.path)
    )


def no_fit_box(fixed: Ring, moving: Ring) -> tuple[int, int, int, int]:
    """Give the box of the no-fit polygon without making it."""
    low, high = fixed.box[:2] - moving.box[2:], fixed.box[2:] - moving.box[:2]
    return int(low[0]), int(low[1]), int(high[0]), int(high[1])


def _is_pocket(ring: Path, fixed: Path, moving: Path) -> bool:
    """Tell whether a hole is a place where the two lie apart, not one inside the other."""
    inside = shapely.Polygon(ring).representative_point()
    place = np.array([inside.x, inside.y])
    one, other = shapely.Polygon(fixed), shapely.Polygon(moving + place)
    return not one.intersects(other)


def _cross(a: Path, b: Path) -> Path:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def _doubled_area(ring: Path) -> int:
    return int(np.sum(_cross(ring, np.roll(ring, -1, axis=0))))


def _convex_sum(fixed: Ring, moving: Ring) -> Path:
    """Give the Minkowski sum of a convex ring and another's mirror: edges merged by direction."""
    assert fixed.edges is not None
    assert moving.edges is not None
    assert fixed.angles is not None
    assert moving.angles is not None
    edges = np.concatenate([fixed.edges[0], moving.edges[1]])
    order = np.concatenate([fixed.angles[0], moving.angles[1]]).argsort(kind="stable")
    out = np.empty_like(edges)
    out[0] = fixed.lowest[0] + moving.lowest[1]
    np.cumsum(edges[order[:-1]], axis=0, out=out[1:])
    out[1:] += out[0]
    return out


def _from_lowest(ring: Path) -> Path:
    first = np.lexsort((ring[:, 0], ring[:, 1]))[0]
    return np.roll(ring, -int(first), axis=0)


def free_places(room: tuple[int, int, int, int], taken: Sequence[Path]) -> Path:
    """Give the corners, (m, 2), of what the box ``room`` holds outside all of ``taken``.

    ``room`` is (x least, y least, x most, y most) with some width and height. The best place by
    any linear measure is among the corners.
    """
    low_x, low_y, high_x, high_y = room
    box = [(low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y)]
    if not taken:
        return np.array(box)
    tool = pyclipper.Pyclipper()
    tool.AddPath(box, pyclipper.PT_SUBJECT, True)
    tool.AddPaths([ring.tolist() for ring in taken], pyclipper.PT_CLIP, True)
    rings = tool.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return np.array([xy for ring in rings for xy in ring], dtype=np.int64).reshape(-1, 2)


def free_on_line(x: int, ends: tuple[int, int], taken: Sequence[Path]) -> Path:
    """Give the ends, (m, 2), of what the upright line at ``x`` holds outside all of ``taken``."""
    low, high = ends
    if not taken:
        return np.array([(x, low), (x, high)])
    tool = pyclipper.Pyclipper()
    tool.AddPath([(x, low), (x, high)], pyclipper.PT_SUBJECT, False)
    tool.AddPaths([ring.tolist() for ring in taken], pyclipper.PT_CLIP, True)
    found = tool.Execute2(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    lines = pyclipper.OpenPathsFromPolyTree(found)
    return np.array([xy for line in lines for xy in line], dtype=np.int64).reshape(-1, 2)
