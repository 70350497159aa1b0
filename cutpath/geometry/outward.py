"""Outlines made simpler and larger, never smaller anywhere: what packing works with.

A simplified outline surrounds all of the true one, so that what keeps clear of the simplified one
keeps clear of the true one too.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import bounds
from cutpath.geometry.points import Points, as_points, cross

_MITRE = 2.0
_FLATNESS = 0.05
_SAME = 1e-9


def grown(outline: Chain, by: float, waste: float = 0.002, most: int = 40) -> Points:
    """Give a simple polygon, counter-clockwise, that holds all within ``by`` mm of ``outline``.

    It reaches no farther than ``by`` beyond the outline's box.

    ``waste`` is the share of its area that simplifying may add, spent where a vertex costs least;
    it stops at few vertices, and goes on past ``most`` at any price that stays below ten times
    ``waste``. Raises ValueError for an outline that bounds no area.
    """
    flatness = _FLATNESS if outline.is_arc.any() or outline.is_cubic.any() else 0.0
    true = shapely.Polygon(flatten(outline, _FLATNESS).points).buffer(0)
    true = largest_part(true)
    if true.is_empty or not true.area > 0:
        raise ValueError("an outline must bound an area")
    plain = shapely.Polygon(true.exterior)
    simple = simplified(np.array(plain.exterior.coords)[:-1], waste * plain.area, most)
    low_x, low_y, high_x, high_y = bounds(outline)
    box = shapely.box(low_x - by, low_y - by, high_x + by, high_y + by)
    for shape in (shapely.Polygon(simple), plain, plain.convex_hull):
        wide = shape.buffer(by + flatness, join_style="mitre", mitre_limit=_MITRE)
        ring = _outer(wide.intersection(box))
        if ring is not None and ring.buffer(1e-9).covers(plain.buffer(by, quad_segs=16)):
            break
    assert ring is not None
    return _counter_clockwise(np.array(ring.exterior.coords)[:-1])


def _outer(shape: BaseGeometry) -> shapely.Polygon | None:
    part = largest_part(shape)
    return None if part.is_empty else shapely.Polygon(part.exterior)


def largest_part(shape: BaseGeometry) -> shapely.Polygon:
    """Give the polygon with the most area in ``shape``, or an empty one."""
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, shapely.Polygon)]
    return max(parts, key=lambda part: part.area, default=shapely.Polygon())


def _counter_clockwise(points: Points) -> Points:
    doubled = float(np.sum(cross(points, np.roll(points, -1, axis=0))))
    return as_points(points if doubled > 0 else points[::-1])


def simplified(ring: Points, budget: float, most: int) -> Points:
    """Give a ring around (n, 2) ``ring`` with fewer vertices and at most ``budget`` mm² more.

    Two things are done, the cheapest first: an inward vertex is left out, or an outward edge
    gives way to the crossing of its neighbours. Either adds one triangle.
    """
    points = [tuple(point) for point in _counter_clockwise(ring).tolist()]
    spent = 0.0
    while len(points) > 4:
        price, index, new = _cheapest(np.array(points))
        allowed = 10 * budget if len(points) > most else budget
        if not spent + price <= allowed:
            break
        spent += price
        if new is None:
            del points[index]
        else:
            after = (index + 1) % len(points)
            points[index] = new
            del points[after]
    return as_points(points)


def _cheapest(points: Points) -> tuple[float, int, tuple[float, float] | None]:
    """Give price in mm², vertex, and the point that takes its and the next one's place, if any."""
    before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
    beyond = np.roll(points, -2, axis=0)
    turn = cross(points - before, after - points)
    leave_out = np.where(turn <= _SAME, -turn / 2, np.inf)
    ahead, back = points - before, after - beyond
    lean = cross(ahead, back)
    edge = after - points
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = cross(edge, back) / lean
    # The neighbours, lengthened, must meet outside the edge.
    fits = (lean < -_SAME) & (reach > 0) & (turn > 0) & (np.roll(turn, -1) > 0)
    replace = np.where(fits, np.abs(reach * cross(edge, ahead)) / 2, np.inf)
    low, other = int(np.argmin(leave_out)), int(np.argmin(replace))
    if leave_out[low] <= replace[other]:
        return float(leave_out[low]), low, None
    x, y = points[other] + reach[other] * ahead[other]
    return float(replace[other]), other, (float(x), float(y))
