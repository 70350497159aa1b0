"""A line as dashes, for a pen that can only go up and down."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain, opened
from cutpath.geometry.measure import joint_stations, length
from cutpath.geometry.splitting import between_joints, with_joints_at

_SHORTEST = 0.05


def dashed(chain: Chain, pattern: Sequence[float]) -> tuple[Chain, ...]:
    """Give the drawn parts of ``chain``: ``pattern`` is dash, gap, dash, gap … in mm.

    The pattern begins with its first dash at the chain's start. An empty one draws all.
    Raises ValueError for a pattern with a negative length, or of no length at all.
    """
    run = opened(chain)
    if not pattern:
        return (run,)
    if min(pattern) < 0 or sum(pattern) <= 0:
        raise ValueError("a pattern of dashes needs some length and nothing negative")
    whole = length(run)
    turns = int(whole / sum(pattern)) + 1
    stations = np.cumsum(np.tile(pattern, turns))
    stations = stations[stations < whole - _SHORTEST]
    cut = with_joints_at(run, stations) if len(stations) else run
    joints = joint_stations(cut)
    at = [int(np.abs(joints - station).argmin()) for station in (0.0, *stations, whole)]
    return tuple(
        between_joints(cut, low, high)
        for number, (low, high) in enumerate(itertools.pairwise(at))
        if number % 2 == 0 and high > low
    )
