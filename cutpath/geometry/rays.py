"""Where a ray first meets a curve of lines and arcs."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.points import Floats, Point, cross

_TOUCH = 1e-9


def ray_hits(chain: Chain, origin: Point, direction: Floats) -> Floats:
    """Give the distances (mm, ascending, from 0) at which a ray meets ``chain``.

    ``direction`` is a unit vector. A segment that the ray runs along does not count. Raises
    ValueError for cubics.
    """
    if chain.is_cubic.any():
        raise ValueError("rays meet lines and arcs; turn cubics into arcs before")
    straight = ~chain.is_arc
    found = [_line_hits(chain.starts[straight], chain.ends[straight], origin, direction)]
    if chain.is_arc.any():
        found.append(_arc_hits(chain, origin, direction))
    hits = np.concatenate(found)
    return np.unique(np.maximum(hits[hits >= -_TOUCH], 0.0))


def _line_hits(starts: Floats, ends: Floats, origin: Point, direction: Floats) -> Floats:
    along = ends - starts
    det = cross(np.broadcast_to(direction, along.shape), along)
    to_start = starts - origin
    with np.errstate(divide="ignore", invalid="ignore"):
        distance = cross(to_start, along) / det
        share = cross(to_start, np.broadcast_to(direction, along.shape)) / det
    good = np.isfinite(distance) & (share >= -_TOUCH) & (share <= 1 + _TOUCH)
    return np.asarray(distance[good])


def _arc_hits(chain: Chain, origin: Point, direction: Floats) -> Floats:
    center, radius, angle, sweep = (part[chain.is_arc] for part in arc_geometry(chain))
    to_center = center - origin
    along = to_center @ direction
    away = cross(np.broadcast_to(direction, to_center.shape), to_center)
    with np.errstate(invalid="ignore"):
        half = np.sqrt((radius - away) * (radius + away))
    found = []
    for distance in (along - half, along + half):
        spoke = origin + distance[:, None] * direction - center
        turn = (np.arctan2(spoke[:, 1], spoke[:, 0]) - angle) * np.sign(sweep)
        turned = np.mod(turn + _TOUCH, 2 * np.pi) - _TOUCH
        good = np.isfinite(distance) & (turned <= np.abs(sweep) + _TOUCH)
        found.append(distance[good])
    return np.concatenate(found)
