"""A place inside a shape, for the name that its title gives it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Point, locked

_HEIGHTS = (0.5, 0.37, 0.63, 0.21, 0.79)


def inner_point(loops: Sequence[Chain]) -> Point:
    """Give a point well inside closed ``loops`` by the even-odd rule.

    It is the middle of the widest inside stretch on a few level lines; the middle of the box where
    the loops have no inside.
    """
    size = max(float(np.ptp(loop.points, axis=0).max()) for loop in loops)
    rings = [flatten(loop, max(size / 500, 1e-6)).points for loop in loops]
    every = np.concatenate(rings)
    (left, low), (right, high) = every.min(axis=0), every.max(axis=0)
    best, widest = np.array([(left + right) / 2, (low + high) / 2]), 0.0
    for share in _HEIGHTS:
        y = low + share * (high - low)
        crossings = np.sort(np.concatenate([_crossings(ring, y) for ring in rings]))
        for enter, leave in zip(crossings[::2], crossings[1::2], strict=False):
            if leave - enter > widest * (1 + 1e-9):
                best, widest = np.array([(enter + leave) / 2, y]), float(leave - enter)
    return locked(best)


def _crossings(ring: np.ndarray, y: float) -> np.ndarray:
    after = np.roll(ring, -1, axis=0)
    rows = (ring[:, 1] <= y) != (after[:, 1] <= y)
    (x0, y0), (x1, y1) = ring[rows].T, after[rows].T
    return np.asarray(x0 + (y - y0) / (y1 - y0) * (x1 - x0))
