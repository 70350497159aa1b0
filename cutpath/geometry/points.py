"""Points and directions as read-only float64 arrays.

``Points`` are (n, 2) in mm, y up, finite; a ``Point`` is (2,). Only ``as_points`` and ``as_point``
make them from foreign numbers.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]
Point = NDArray[np.float64]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


def locked(array: NDArray[Any]) -> NDArray[Any]:
    """Make ``array`` read-only and give it back."""
    array.flags.writeable = False
    return array


def as_points(values: ArrayLike) -> Points:
    """Copy, check and lock ``values`` as (n, 2) finite float64.

    Raises ValueError for another shape or a value that is not finite.
    """
    points = np.array(values, dtype=np.float64)
    if points.size == 0:
        points = points.reshape(0, 2)
    if points.ndim != 2 or points.shape[1] != 2:
        raise ValueError(f"points must have shape (n, 2), not {points.shape}")
    if not np.isfinite(points).all():
        raise ValueError("points must be finite")
    return locked(points)


def as_point(values: ArrayLike) -> Point:
    """Copy, check and lock ``values`` as one finite point, shape (2,).

    Raises ValueError for another shape or a value that is not finite.
    """
    return locked(as_points(np.asarray(values, dtype=np.float64).reshape(1, -1))[0].copy())


def cross(a: Floats, b: Floats) -> Floats:
    """Give the z component of a × b for (..., 2) arrays."""
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def left_of(direction: Floats) -> Floats:
    """Turn (..., 2) directions by +90°."""
    return np.stack([-direction[..., 1], direction[..., 0]], axis=-1)


def unit(vector: Floats) -> Floats:
    """Scale (..., 2) vectors to length 1; a zero vector stays zero."""
    size = np.hypot(vector[..., 0], vector[..., 1])[..., np.newaxis]
    return np.divide(vector, size, out=np.zeros_like(vector, dtype=np.float64), where=size > 0)


def direction(angle: float) -> Point:
    """Give the unit vector at ``angle`` radians from +x, counter-clockwise."""
    return np.array([np.cos(angle), np.sin(angle)])


def turn_between(incoming: Floats, outgoing: Floats) -> Floats:
    """Give the signed turn in (−π, π] from ``incoming`` to ``outgoing``; + is counter-clockwise."""
    return np.asarray(
        np.arctan2(cross(incoming, outgoing), np.sum(incoming * outgoing, axis=-1)),
    )
