"""The nearest few of many points, in time n · log n, without a tree.

Points near one another are mostly near along a space-filling curve too; a few curves, shifted
against each other, miss hardly any (T. Chan, "Closest-point problems simplified on the RAM", 2002,
for the shifts). Good enough to look for improvements with; not for geometry that must be exact.
"""

from __future__ import annotations

import numpy as np

from cutpath.geometry.points import Floats, Ints, Points

_SHIFTS = (0.0, 0.13, 0.29, 0.41, 0.57)
"""As shares of the points' extent."""
_REACH = 7
"""How far along each curve to look, either way."""
_BITS = 20
_BLOCK = 8192


def nearest_few(points: Points, count: int) -> Ints:
    """Give for each of (n, 2) points about the ``count`` nearest others, nearest first.

    Shape (n, k) with k = min(count, n − 1); ties go to the lower index.
    """
    size = len(points)
    count = min(count, size - 1)
    if count < 1:
        return np.zeros((size, 0), dtype=np.int64)
    candidates = _candidates(points)
    found = np.empty((size, count), dtype=np.int64)
    for low in range(0, size, _BLOCK):
        block = np.sort(candidates[low : low + _BLOCK], axis=1)
        gap = np.hypot(*(points[block] - points[low : low + _BLOCK, None]).transpose(2, 0, 1))
        own = np.arange(low, low + len(block))[:, None]
        again = np.zeros(block.shape, dtype=bool)
        again[:, 1:] = block[:, 1:] == block[:, :-1]
        gap[again | (block == own)] = np.inf
        ranked = np.argsort(gap, axis=1, kind="stable")[:, :count]
        found[low : low + _BLOCK] = np.take_along_axis(block, ranked, axis=1)
    return found


def _candidates(points: Points) -> Ints:
    """Give each point's neighbours along every curve, (n, 2 · reach · shifts), with repeats."""
    size = len(points)
    reach = min(_REACH, size - 1)
    steps = np.array([step for step in range(-reach, reach + 1) if step])
    columns = []
    for shift in _SHIFTS:
        order = np.argsort(_curve_places(points, shift), kind="stable")
        rank = np.empty(size, dtype=np.int64)
        rank[order] = np.arange(size)
        columns.append(order[np.mod(rank[:, None] + steps, size)])
    return np.concatenate(columns, axis=1)


def _curve_places(points: Points, shift: float) -> Ints:
    """Give each point's place on the curve that interleaves the bits of x and y."""
    low = points.min(axis=0)
    extent = max(float((points - low).max()), 1e-9)
    cells = ((points - low) / extent + shift) * ((1 << _BITS) / 2)
    return _spread(cells[:, 0]) | (_spread(cells[:, 1]) << 1)


def _spread(values: Floats) -> Ints:
    """Put a zero bit between any two bits of each whole number below 2 ** 32."""
    bits = values.astype(np.int64)
    for step, mask in (
        (16, 0x0000FFFF0000FFFF),
        (8, 0x00FF00FF00FF00FF),
        (4, 0x0F0F0F0F0F0F0F0F),
        (2, 0x3333333333333333),
        (1, 0x5555555555555555),
    ):
        bits = (bits | (bits << step)) & mask
    return bits
