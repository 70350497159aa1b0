"""Lower speeds on tight arcs, for a machine that does not slow by itself."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.splitting import between_joints
from cutpath.kinematics import arc_speed
from cutpath.moves import Follow

_STEP = 0.05
"""Speeds are rounded down to this share of the highest, so that they change seldom."""


def paced(run: Chain, speed: float, acceleration: float) -> Iterator[Follow]:
    """Give ``run`` in parts of one speed each, mm/s: on an arc of radius R at most √(a R)."""
    radius = np.nan_to_num(arc_geometry(run)[1], nan=np.inf)
    share = np.minimum(arc_speed(radius, acceleration) / speed, 1.0)
    steps = np.maximum(np.floor(share / _STEP + 1e-9), 1).astype(np.int64)
    bounds = [0, *(np.flatnonzero(np.diff(steps)) + 1).tolist(), len(run)]
    for first, last in pairwise(bounds):
        yield Follow(between_joints(run, first, last), float(steps[first]) * _STEP * speed)
