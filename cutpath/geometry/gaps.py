"""How far many points are from one curve, where a bound on the error is enough."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Points


def gaps(targets: Points, chain: Chain, tolerance: float) -> Floats:
    """Give the distance from each of (m, 2) ``targets`` to ``chain``, (m,), to ``tolerance`` mm."""
    points = flatten(chain, tolerance).points
    starts = points if chain.closed else points[:-1]
    along = (np.roll(points, -1, axis=0) if chain.closed else points[1:]) - starts
    away = targets[:, None] - starts
    square = np.sum(along * along, axis=1)
    share = np.sum(away * along, axis=2)
    share = np.divide(share, square, out=np.zeros_like(share), where=square > 0)
    rest = away - np.clip(share, 0.0, 1.0)[..., None] * along
    return np.asarray(np.hypot(rest[..., 0], rest[..., 1]).min(axis=1))
