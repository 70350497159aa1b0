"""Closed outlines grown, shrunk and rounded, arcs kept; and rounded rectangles."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import shapely

from cutpath.geometry.biarc import as_arcs
from cutpath.geometry.chain import (
    Chain,
    circle,
    joined,
    make_chain,
    opened,
    reversed_chain,
    started_at,
    without_short_segments,
)
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import end_tangents, joint_turns, length, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.geometry.offset import outward_normal, strip
from cutpath.geometry.points import Point
from cutpath.geometry.region import difference, union
from cutpath.geometry.splitting import between_joints, with_joints_at

_CURVE, _CRUMB = 0.002, 1e-5
_CLOSE = 0.01
_KINK = math.radians(0.05)
_FLATNESS = 0.005


def counter_clockwise(loop: Chain) -> Chain:
    """Give a closed chain run counter-clockwise, cubics as arcs within 0.002 mm."""
    turned = loop if signed_area(loop) > 0 else reversed_chain(loop)
    arcs = as_arcs(turned, _CURVE)
    return without_short_segments(arcs, _CRUMB) or arcs


def grown(loop: Chain, by: float) -> Chain:
    """Give the outline of all within ``by`` mm of what ``loop`` surrounds: corners come out round.

    Raises ValueError for a distance that is not positive.
    """
    own = counter_clockwise(loop)
    return _largest(union([own, *_outside(own, by)]))


def shrunk(loop: Chain, by: float) -> Chain | None:
    """Give what ``loop`` surrounds and is more than ``by`` mm away from it; None if nothing is.

    Of several parts the largest.
    """
    own = counter_clockwise(loop)
    inside = difference([own], [*_outside(reversed_chain(own), by)])
    kept = [part for part in inside if signed_area(part) > 1e-6]
    return max(kept, key=signed_area) if kept else None


def rounded(loop: Chain, radius: float) -> Chain | None:
    """Give ``loop`` with its outward corners rounded to ``radius``; None when it is too narrow.

    The morphological opening: all that a disc of this radius can sweep inside.
    """
    inner = shrunk(loop, radius)
    return grown(inner, radius) if inner is not None else None


def outer_edge(chain: Chain, by: float) -> Chain:
    """Give the outer parallel of an open chain, from end to end, without loops at inward kinks.

    The outline of the strip beside the chain, between the squares to its ends. Raises ValueError
    where the strip's ends are swallowed, as beside a bend tighter than ``by`` mm.
    """
    loop = _largest(union([strip(chain, by)]))
    leaving, arriving = end_tangents(chain)
    ends = np.array(
        [chain.first + by * outward_normal(leaving), chain.last + by * outward_normal(arriving)]
    )
    found = nearest(loop, ends)
    if found.distance.max() > _CLOSE:
        raise ValueError("the strip's ends are swallowed")
    whole = length(loop)
    inner = found.station[(found.station > _CLOSE) & (found.station < whole - _CLOSE)]
    if len(inner):
        loop = with_joints_at(loop, inner)
    first, last = (int(np.hypot(*(loop.points - end).T).argmin()) for end in ends)
    turned = opened(started_at(loop, first))
    return between_joints(turned, 0, (last - first) % len(loop))


def _outside(loop: Chain, by: float) -> list[Chain]:
    """Give loops that cover all within ``by`` mm to the right of ``loop``'s travel."""
    kinks = np.flatnonzero(np.abs(joint_turns(loop)) > _KINK)
    if not len(kinks):
        # A hair of a kink where the loop starts would leave a slit between the strip's two ends.
        seam = joined([_segment(loop, len(loop) - 1), _segment(loop, 0)])
        return [strip(opened(loop), by), strip(seam, by)]
    # A strip mitres kinks; so it goes from kink to kink, and discs round them.
    turned = opened(started_at(loop, int(kinks[0])))
    ends = [*(int(kink - kinks[0]) for kink in kinks), len(loop)]
    runs = [between_joints(turned, one, after) for one, after in itertools.pairwise(ends)]
    return [strip(run, by) for run in runs] + [circle(loop.points[kink], by) for kink in kinks]


def _segment(loop: Chain, index: int) -> Chain:
    ends = np.stack([loop.starts[index], loop.ends[index]])
    return make_chain(ends, loop.bulges[index : index + 1])


def _largest(loops: Sequence[Chain]) -> Chain:
    return max(loops, key=signed_area)


def rounded_rectangle(middle: Point, width: float, height: float, radius: float) -> Chain:
    """Give an upright rectangle about ``middle`` with corners of ``radius``, counter-clockwise.

    Its area is width · height − (4 − π) radius² (plane geometry). Raises ValueError where the
    corners do not fit.
    """
    if radius < 0 or 2 * radius > min(width, height) + 1e-9:
        raise ValueError("corners do not fit")
    x, y = width / 2, height / 2
    if radius == 0:
        corners = np.array([(-x, -y), (x, -y), (x, y), (-x, y)])
        return make_chain(corners + middle, closed=True)
    u, v = x - radius, y - radius
    places = [(-u, -y), (u, -y), (x, -v), (x, v), (u, y), (-u, y), (-x, v), (-x, -v)]
    bend = math.tan(math.pi / 8)
    keep, bends = [], []
    for index, place in enumerate(places):
        after = places[(index + 1) % 8]
        if math.dist(place, after) < 1e-9:
            continue
        keep.append(place)
        bends.append(bend if index % 2 else 0.0)
    return make_chain(np.array(keep) + middle, bends, closed=True)


def least_gap(one: Chain, other: Chain) -> float:
    """Give the least distance between two outlines, 0 where they cross; by shapely, to 0.01 mm."""
    rings = [
        shapely.LinearRing(flatten(counter_clockwise(c), _FLATNESS).points) for c in (one, other)
    ]
    return float(shapely.distance(*rings))
