"""Strips beside a curve: what an allowance adds along one edge.

"Outside" is to the right of travel, so it lies outside a counter-clockwise loop. A line's parallel
is a line and an arc's an arc, so the strip is exact for chains of lines and arcs.
"""

from __future__ import annotations

import math

import numpy as np

from cutpath.geometry.chain import Chain, joined, line, make_chain, reversed_chain
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.measure import end_tangents, length, tangents
from cutpath.geometry.points import Floats, Point
from cutpath.geometry.splitting import sub_chain

_SAME = 1e-7
_ROUND_FROM = math.radians(100)


def outward_normal(tangent: Floats) -> Floats:
    """Turn (..., 2) unit tangents by −90°: the outside of a counter-clockwise loop."""
    return np.stack([tangent[..., 1], -tangent[..., 0]], axis=-1)


def extended(chain: Chain, before: float, after: float) -> Chain:
    """Lengthen an open chain by straight runs, mm, along its end tangents."""
    ahead, on = end_tangents(chain)
    parts = [chain]
    if before > 0:
        parts.insert(0, line(chain.first - before * ahead, chain.first))
    if after > 0:
        parts.append(line(chain.last, chain.last + after * on))
    return joined(parts)


def strip(chain: Chain, width: float) -> Chain:
    """Give the closed strip, counter-clockwise, between an open chain and its outer parallel.

    Each segment adds what lies within ``width`` mm square to it; a gap at an outward kink is
    filled by a mitre, or an arc from 100° on. At an inward kink, and on an inward arc tighter than
    the width (where the parallel would turn inside out), the strip overlaps or ends in the arc's
    centre, so that every winding number in it is positive: ``region.union`` then gives its outline.
    Raises ValueError for cubics, closed chains or a width that is not positive.
    """
    if chain.closed or chain.is_cubic.any() or width <= 0:
        raise ValueError("a strip needs an open chain of lines and arcs and a positive width")
    points, bulges = _outer(chain, width)
    back = reversed_chain(chain)
    joints = np.concatenate([points, back.points])
    bends = np.concatenate([bulges, [0.0], back.bulges, [0.0]])
    return make_chain(joints, bends, closed=True)


def band(chain: Chain, half: float) -> Chain:
    """Give the closed band, counter-clockwise, within ``half`` mm of an open chain on both sides.

    It keeps a millimetre (a quarter of a short chain) away from the ends.
    """
    whole = length(chain)
    clear = min(1.0, whole / 4)
    inner = sub_chain(chain, clear, whole - clear)
    out, back = _outer(inner, half), _outer(reversed_chain(inner), half)
    joints = np.concatenate([out[0], back[0]])
    return make_chain(joints, np.concatenate([out[1], [0.0], back[1], [0.0]]), closed=True)


def parallel(chain: Chain, distance: float) -> Chain:
    """Give the outer parallel of an open chain, with the kinks' joins of ``strip``.

    It may cross itself where the chain turns inward more tightly than ``distance`` mm.
    """
    points, bulges = _outer(chain, distance)
    return make_chain(points, bulges)


def _outer(chain: Chain, width: float) -> tuple[Floats, Floats]:
    """Give joints (m, 2) and bulges (m − 1,) of the parallel, with its detours."""
    count = len(chain)
    rows = np.arange(count)
    leave = outward_normal(tangents(chain, rows, np.zeros(count)))
    arrive = outward_normal(tangents(chain, rows, np.ones(count)))
    centers, radii, _, _ = arc_geometry(chain)
    starts, ends, bulges = chain.starts, chain.ends, chain.bulges.tolist()
    first, last = starts + width * leave, ends + width * arrive
    sizes = np.hypot(*(ends - starts).T).tolist()
    path = _Path()
    for index in range(count):
        if sizes[index] < _SAME:
            continue
        if path.joints:
            _turn_corner(path, starts[index], width, path.normal, leave[index])
        if bulges[index] < 0 and radii[index] <= width + _SAME:
            for joint in (starts[index], centers[index], ends[index]):
                path.line_to(joint)
        else:
            path.line_to(first[index])
            path.arc_to(last[index], bulges[index])
        path.normal = arrive[index]
    if _ends_inside(chain, radii, width):
        path.line_to(chain.last + width * path.normal)
    return np.array(path.joints), np.array(path.bulges)


def _ends_inside(chain: Chain, radii: Floats, width: float) -> bool:
    """Tell whether the last segment is an inward arc too tight to have a parallel."""
    return bool(chain.bulges[-1] < 0 and radii[-1] <= width + _SAME)


class _Path:
    """Joints and the bulges between them, as they are laid."""

    def __init__(self) -> None:
        self.joints: list[Point] = []
        self.bulges: list[float] = []
        self.normal: Point = np.zeros(2)

    def line_to(self, joint: Point) -> None:
        if self.joints and math.dist(joint, self.joints[-1]) < _SAME:
            return
        self.arc_to(joint, 0.0)

    def arc_to(self, joint: Point, bulge: float) -> None:
        if self.joints:
            self.bulges.append(bulge)
        self.joints.append(joint)


def _turn_corner(path: _Path, corner: Point, width: float, before: Point, after: Point) -> None:
    """Lead the parallel around a kink at ``corner`` from normal ``before`` to ``after``."""
    sine = float(before[0] * after[1] - before[1] * after[0])
    cosine = float(before @ after)
    if abs(sine) < 1e-9 and cosine > 0:
        return
    if sine < 0:
        path.line_to(corner)
    elif math.atan2(sine, cosine) < _ROUND_FROM:
        path.line_to(corner + width * (before + after) / (1 + cosine))
    else:
        path.arc_to(corner + width * after, math.tan(math.atan2(sine, cosine) / 4))
