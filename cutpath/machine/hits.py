"""A hole larger than the drill or punch: hits that overlap, from the middle outward."""

from __future__ import annotations

import math

import numpy as np

from cutpath.geometry.points import Point, Points

_SHARE = 0.5
"""Of the tolerance, that the hole's edge may be left rough between two hits."""


def hits(at: Point, diameter: float, hole: float, tolerance: float) -> Points:
    """Give where to hit, (n, 2), for a ``hole`` about ``at`` with a tool of ``diameter``, mm.

    Rings from the middle outward, so that the edge is cut last, out of cloth that still holds. The
    edge is rough by half of ``tolerance`` at most: hits that are an angle β apart on a ring of
    radius q leave q cos(β/2) + √(r² − q² sin²(β/2)) (plane geometry; r is the tool's radius).
    """
    radius, ring = diameter / 2, (hole - diameter) / 2
    if ring <= 0:
        return np.asarray(at).reshape(1, 2)
    rings = max(1, math.ceil(ring / (radius * 0.9) - 1e-9))
    found = [np.asarray(at).reshape(1, 2)]
    for number in range(1, rings + 1):
        q = ring * number / rings
        rough = _SHARE * tolerance if number == rings else radius * 0.5
        count = _count(q, radius, rough)
        angles = 2 * math.pi * np.arange(count) / count
        found.append(at + q * np.stack([np.cos(angles), np.sin(angles)], axis=1))
    return np.concatenate(found)


def _count(ring: float, radius: float, rough: float) -> int:
    """Give the fewest hits on a ring that leave its edge no rougher."""
    count = 3
    while count < 1_000:
        half = math.pi / count
        across = ring * math.sin(half)
        if across < radius:
            reach = ring * math.cos(half) + math.sqrt(radius**2 - across**2)
            if ring + radius - reach <= rough:
                break
        count += 1
    return count
