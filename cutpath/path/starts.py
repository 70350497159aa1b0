"""Where a closed cut may begin: in the middle of a straight side, away from corners and notches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain, started_at
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.measure import joint_stations, points_at_stations, segment_lengths
from cutpath.geometry.points import Floats, Point, Points
from cutpath.geometry.splitting import with_joints_at

MOST = 6
_TIGHT = 100.0
"""An arc of smaller radius, mm, is a last resort: a blade enters it already turning."""
_WORTHY = 0.2
"""Sides shorter than this share of the longest are too near their corners to begin on."""
_SHARES = np.array([0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8])
"""Where on a side a cut may begin: in its middle, else a little beside it."""
_CLEAR = 8.0
"""How far from a notch a cut begins, mm, where there is room."""


def start_stations(loop: Chain, notches: Points) -> Floats:
    """Give up to six stations, mm along ``loop``, where a cut may begin, the longest sides first.

    ``notches`` (m, 2) are kept away from where the side is long enough.
    """
    lengths = segment_lengths(loop)
    radii = np.nan_to_num(arc_geometry(loop)[1], nan=np.inf)
    worth = np.where(radii < _TIGHT, lengths * 1e-3, lengths)
    best = np.argsort(-worth, kind="stable")[:MOST]
    best = best[worth[best] >= _WORTHY * worth[best[0]]]
    joints = joint_stations(loop)
    stations = joints[best, None] + lengths[best, None] * _SHARES
    if not len(notches):
        return np.asarray(stations[:, 0])
    return _clear_of(loop, stations, notches)


def _clear_of(loop: Chain, stations: Floats, notches: Points) -> Floats:
    """Give of each side's (k, s) ``stations`` the first clear of notches, else the farthest."""
    points, _ = points_at_stations(loop, stations.ravel())
    gap = np.hypot(*(points[:, None] - notches[None]).transpose(2, 0, 1)).min(axis=1)
    gap = gap.reshape(stations.shape)
    clear = gap > _CLEAR
    chosen = np.where(clear.any(axis=1), clear.argmax(axis=1), gap.argmax(axis=1))
    return np.asarray(stations[np.arange(len(stations)), chosen])


def begun_at(loop: Chain, station: float) -> Chain:
    """Turn ``loop`` so that it begins at ``station``, with a joint there."""
    cut = with_joints_at(loop, np.array([station]))
    joint = int(np.abs(joint_stations(cut)[:-1] - station).argmin())
    return started_at(cut, joint)


def places(loop: Chain, stations: Sequence[float] | Floats) -> Points:
    """Give the points at ``stations``, (k, 2)."""
    points: Point = points_at_stations(loop, np.asarray(stations))[0]
    return points
