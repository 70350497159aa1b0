"""A place with two verniers: one reads shifts along x, one along y."""

from __future__ import annotations

import numpy as np

from cutpath.bench.vernier import DEPTH, REACH, Vernier
from cutpath.geometry.points import Point

_HALF = DEPTH + 7.0
"""From a vernier's middle line to its outermost numbers, mm."""
FOOTPRINT = (2 * REACH + 2 * _HALF + 14.0, 2 * REACH + 10.0)
"""What both take along x and y, mm."""


def corner_verniers(corner: Point, overlap: float = 0.0) -> dict[str, Vernier]:
    """Give the verniers "x" and "y" that fill ``FOOTPRINT`` from its ``corner`` of least x and y.

    The slides lie on the + side.
    """
    x, y = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    middle = FOOTPRINT[1] / 2
    return {
        "x": Vernier(corner + (REACH + 5, middle), x, y, overlap),
        "y": Vernier(corner + (2 * REACH + 12 + _HALF, middle), y, x, overlap),
    }
