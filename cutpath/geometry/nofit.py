"""Where one polygon may lie beside others: no-fit polygons, and what room they leave.

The no-fit polygon of a fixed polygon A and a moving one B holds the places of B's origin at which
both overlap: the Minkowski sum of A and −B (Art, "An approach to the two dimensional irregular
cutting stock problem", 1966, for the idea; the sum as such is textbook geometry). On its boundary
they touch. Everything is in whole micrometres, so that Clipper's answers are exact.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyclipper
import shapely

from cutpath.geometry.points import Ints, Points

PER_MM = 1000
"""Units a mm."""

Path = Ints
"""One ring, (n, 2) whole micrometres; outer rings counter-clockwise, holes clockwise."""


def as_path(points: Points) -> Path:
    """Give mm as whole micrometres."""
    return np.rint(points * PER_MM).astype(np.int64)


def no_fit(fixed: Path, moving: Path) -> tuple[Path, ...]:
    """Give the no-fit polygon of two simple counter-clockwise rings, both about their origins.

    Most often it is one ring. A hole in it is a pocket of the one into which the other fits.
    """
    mirrored = -moving
    if is_convex(fixed) and is_convex(mirrored):
        return (_convex_sum(fixed, mirrored),)
    rings = [
        np.array(ring, dtype=np.int64)
        for ring in pyclipper.MinkowskiSum(mirrored.tolist(), fixed.tolist(), True)
    ]
    kept = []
    for ring in rings:
        if _doubled_area(ring) > 0 or _is_pocket(ring, fixed, moving):
            kept.append(ring)
    return tuple(kept)


def _is_pocket(ring: Path, fixed: Path, moving: Path) -> bool:
    """Tell whether a hole is a place where the two lie apart, not one inside the other."""
    inside = shapely.Polygon(ring).representative_point()
    place = np.array([inside.x, inside.y])
    one, other = shapely.Polygon(fixed), shapely.Polygon(moving + place)
    return not one.intersects(other)


def _cross(a: Path, b: Path) -> Path:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def is_convex(ring: Path) -> bool:
    """Tell whether a counter-clockwise ring turns left only."""
    edges = np.roll(ring, -1, axis=0) - ring
    return bool((_cross(edges, np.roll(edges, -1, axis=0)) >= 0).all())


def _doubled_area(ring: Path) -> int:
    return int(np.sum(_cross(ring, np.roll(ring, -1, axis=0))))


def _convex_sum(one: Path, other: Path) -> Path:
    """Give the Minkowski sum of two convex rings: their edges, merged by direction."""
    rings = [_from_lowest(ring) for ring in (one, other)]
    edges = np.concatenate([np.roll(ring, -1, axis=0) - ring for ring in rings])
    edges = edges[(edges != 0).any(axis=1)]
    angle = np.arctan2(edges[:, 1], edges[:, 0])
    # From the lowest point, directions begin at 0 and go once round.
    order = np.argsort(np.where(angle < 0, angle + 2 * np.pi, angle), kind="stable")
    steps = np.cumsum(edges[order], axis=0)
    first = rings[0][0] + rings[1][0]
    return np.asarray(first + np.concatenate([np.zeros((1, 2), np.int64), steps[:-1]]))


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
