"""A closed outline to edges: where its corners are, where it begins, which way each edge faces."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain, closed_up, joined, opened, started_at
from cutpath.geometry.measure import joint_stations, joint_turns, length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats, Points
from cutpath.geometry.splitting import between_joints, with_joints_at

SNAP = 1.0
"""A corner asked for this close to a joint of the outline, mm along it, is that joint."""
RIM = "rim"
"""The name of the only edge of an outline without corners."""
_SIDES = ("right", "top", "left", "bottom")


def corner_stations(loop: Chain, turns: Points, angle: float) -> Floats:
    """Give where a closed outline has corners, mm from its start.

    At the ``turns`` (n, 2) where there are any, else where the tangent breaks by more than
    ``angle`` radians.
    """
    if len(turns):
        return nearest(loop, turns).station
    return joint_stations(loop)[:-1][np.abs(joint_turns(loop)) > angle]


def split_at(loop: Chain, stations: Floats) -> list[Chain]:
    """Cut a closed outline at ``stations``; without any, give it whole, as one open chain.

    The first edge begins at the lowest corner (the leftmost of them), whatever the loop's start.
    """
    if not len(stations):
        return [opened(started_at(loop, _lowest(loop.points)))]
    loop, corners = _with_corners(loop, stations)
    start = corners[_lowest(loop.points[corners])]
    turned = opened(started_at(loop, start))
    marks = sorted((corner - start) % len(loop) for corner in corners)
    marks.append(len(loop))
    return [between_joints(turned, *pair) for pair in itertools.pairwise(marks)]


def _lowest(points: Points) -> int:
    # To a hundredth of a millimetre, so that rounding does not choose among level corners.
    rounded = np.round(points, 2)
    return int(np.lexsort((rounded[:, 0], rounded[:, 1]))[0])


def _with_corners(loop: Chain, stations: Floats) -> tuple[Chain, list[int]]:
    """Give the loop with a joint at each station, and the numbers of these joints in order."""
    wanted = _snapped(loop, stations)
    joints = joint_stations(loop)[:-1]
    new = [at for at in wanted if np.abs(joints - at).min() > 1e-9]
    if new:
        loop = with_joints_at(loop, np.array(new))
        joints = joint_stations(loop)[:-1]
    return loop, sorted({int(np.abs(joints - at).argmin()) for at in wanted})


def _snapped(loop: Chain, stations: Floats) -> list[float]:
    joints = joint_stations(loop)
    whole = float(joints[-1])
    wanted: set[float] = set()
    for station in stations:
        gap = np.abs(joints - station)
        close = int(gap.argmin())
        at = float(joints[close]) if gap[close] <= SNAP else float(station)
        wanted.add(0.0 if at >= whole else at)
    return sorted(wanted)


def whole_loop(edges: Sequence[Chain]) -> Chain:
    """Give the closed outline that begins where the first edge does."""
    return closed_up(joined(edges))


def side_names(edges: Sequence[Chain]) -> list[str]:
    """Name each edge after the side that it faces; several on one side are numbered as they run."""
    if len(edges) == 1:
        return [RIM]
    sides = [_side(edge) for edge in edges]
    names, counts = [], dict.fromkeys(_SIDES, 0)
    for side in sides:
        counts[side] += 1
        names.append(f"{side}-{counts[side]}" if sides.count(side) > 1 else side)
    return names


def _side(edge: Chain) -> str:
    _, tangent = points_at_stations(edge, np.array([length(edge) / 2]))
    # The outline runs counter-clockwise, so that outside lies to the right of travel.
    outward = math.atan2(-tangent[0, 0], tangent[0, 1])
    quarter = round(math.degrees(outward), 6) + 45.0
    return _SIDES[int(quarter // 90) % 4]
