"""Where a blade's holder must go so that its tip follows the line.

A drag blade's tip trails the pivot by a fixed distance d, and its heading is the direction from
tip to pivot. The tip runs along a curve exactly when the pivot runs d ahead of it on the tangent:
beside a line on the same line, about an arc of radius R on one of radius √(R² + d²) with the same
centre and sweep. At a corner the pivot has run d past it; it swings on an arc of radius d about
the corner to the new heading, and the tip stands still meanwhile. (Plane geometry; the pivot moves
square to the blade in the swing, so nothing pulls at the tip.)
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from cutpath.geometry.chain import Chain, joined, make_chain, opened
from cutpath.geometry.measure import joint_stations, tangents
from cutpath.geometry.points import Floats, Point, direction, turn_between
from cutpath.geometry.splitting import between_joints, sub_chain

_NOTHING = 1e-6
_STILL = 1e-4
"""A swing shorter than this, mm, is left out."""


def overrun(chain: Chain, overcut: float) -> Chain:
    """Open a closed ``chain`` at its first point, and let it run ``overcut`` mm past its start.

    An open chain is given as it is.
    """
    if not chain.closed:
        return chain
    once = opened(chain)
    if overcut <= _NOTHING:
        return once
    stations = joint_stations(once)
    end = min(overcut, float(stations[-1]))
    beginning = between_joints(once, 0, int(np.searchsorted(stations, end - _NOTHING)))
    return joined([once, sub_chain(beginning, 0.0, end)])


def parted_at_corners(chain: Chain, lift_angle: float) -> list[Chain]:
    """Cut an open ``chain`` where it turns by more than ``lift_angle`` radians."""
    rows = np.arange(len(chain))
    leave = tangents(chain, rows, np.zeros(len(chain)))
    arrive = tangents(chain, rows, np.ones(len(chain)))
    turns = np.abs(turn_between(arrive[:-1], leave[1:]))
    corners = np.flatnonzero(turns > lift_angle) + 1
    bounds = [0, *corners.tolist(), len(chain)]
    return [between_joints(chain, first, last) for first, last in pairwise(bounds)]


def pivot_path(tip: Chain, offset: float, heading: float) -> tuple[Chain, float]:
    """Give the pivot's path for an open ``tip`` path, and the blade's heading at its end.

    ``offset`` is the distance d from tip to pivot, mm, > 0; ``heading`` is where the blade points
    (radians) as it is lowered. The path begins with the swing from that heading about the first
    point, so the tip enters at the very start of the line. Raises ValueError for a closed chain or
    one with cubics or segments of no length.
    """
    if tip.closed or tip.is_cubic.any():
        raise ValueError("a pivot path is made of an open chain of lines and arcs")
    count = len(tip)
    rows = np.arange(count)
    leave = tangents(tip, rows, np.zeros(count))
    arrive = tangents(tip, rows, np.ones(count))
    if not leave.any(axis=1).all():
        raise ValueError("a segment of no length has no direction")
    before = np.concatenate([direction(heading)[None], arrive[:-1]])
    turns = turn_between(before, leave)
    swings = np.abs(turns) * offset > _STILL
    # Each segment gives one joint, its start, and one more before it where the blade swings.
    slots = 2 * rows + 1
    joints = np.empty((2 * count + 1, 2))
    bulges = np.zeros(2 * count)
    joints[slots - 1] = tip.starts + offset * before
    joints[slots] = tip.starts + offset * leave
    joints[-1] = tip.ends[-1] + offset * arrive[-1]
    bulges[slots - 1] = np.tan(turns / 4)
    bulges[slots] = tip.bulges
    keep = np.ones(2 * count, dtype=np.bool_)
    keep[slots - 1] = swings
    points = np.concatenate([joints[:-1][keep], joints[-1:]])
    return make_chain(points, bulges[keep]), _angle(arrive[-1])


def _angle(along: Point | Floats) -> float:
    return math.atan2(float(along[1]), float(along[0]))
