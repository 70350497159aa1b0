"""The exact curve that every stage hands on: a connected run of lines, arcs and cubic Béziers.

A ``Chain`` with n segments holds its joints once, so that there are never gaps inside one:

* ``points``: (n + 1, 2) joints when open, (n, 2) when closed (the first is not repeated);
* ``bulges``: (n,), tan(sweep / 4) of each arc, + counter-clockwise, 0 for a line
  (the DXF reference's definition, LWPOLYLINE group 42);
* ``handles``: (n, 2, 2) inner control points of each cubic, NaN for a line or an arc.

Arcs sweep at most 180° a segment (the makers here split longer ones), which keeps |bulge| ≤ 1 and
the centre well conditioned. All arrays are read-only.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from cutpath.geometry.points import Bools, Floats, Point, Points, as_points, locked

_STRAIGHT = 1e-12
"""Bulges below this are lines: 0.5e-9 mm of sagitta on a chord of a metre."""


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """A connected run of segments, made with the functions here; see the module text."""

    points: Points
    bulges: Floats
    handles: Floats
    closed: bool

    def __len__(self) -> int:
        """Give the number of segments."""
        return len(self.bulges)

    @property
    def starts(self) -> Points:
        """Start of each segment, (n, 2)."""
        points: Points = self.points if self.closed else self.points[:-1]
        return points

    @property
    def ends(self) -> Points:
        """End of each segment, (n, 2)."""
        after: Points = self.points[1:]
        return np.concatenate([after, self.points[:1]]) if self.closed else after

    @property
    def first(self) -> Point:
        """Where the chain begins."""
        point: Point = self.points[0]
        return point

    @property
    def last(self) -> Point:
        """Where the chain ends; the first point again when closed."""
        point: Point = self.points[0] if self.closed else self.points[-1]
        return point

    @property
    def is_cubic(self) -> Bools:
        """Which segments are cubic Béziers, (n,)."""
        return np.logical_not(np.isnan(self.handles[:, 0, 0]))

    @property
    def is_arc(self) -> Bools:
        """Which segments are arcs, (n,)."""
        return np.asarray(self.bulges != 0.0)


def make_chain(
    points: ArrayLike,
    bulges: ArrayLike | None = None,
    handles: ArrayLike | None = None,
    *,
    closed: bool = False,
) -> Chain:
    """Check and lock the arrays of a chain; without ``bulges`` and ``handles`` all are lines.

    Raises ValueError when shapes disagree or a number is not finite.
    """
    joints = as_points(points)
    count = len(joints) if closed else len(joints) - 1
    if count < 1:
        raise ValueError("a chain needs at least one segment")
    arcs = np.zeros(count) if bulges is None else np.array(bulges, dtype=np.float64)
    if arcs.shape != (count,) or not np.isfinite(arcs).all():
        raise ValueError(f"{count} finite bulges are needed")
    arcs[np.abs(arcs) < _STRAIGHT] = 0.0
    inner = _no_handles(count) if handles is None else np.array(handles, dtype=np.float64)
    if inner.shape != (count, 2, 2):
        raise ValueError(f"handles must have shape ({count}, 2, 2)")
    if np.isinf(inner).any() or (~np.isnan(inner[:, 0, 0]) & (arcs != 0)).any():
        raise ValueError("a segment is a line, an arc or a cubic, with finite numbers")
    return Chain(joints, locked(arcs), locked(inner), closed)


def _no_handles(count: int) -> Floats:
    return np.full((count, 2, 2), np.nan)


def line(start: ArrayLike, end: ArrayLike) -> Chain:
    """Make one straight segment."""
    return make_chain(np.array([start, end], dtype=np.float64))


def polyline(points: ArrayLike, *, closed: bool = False) -> Chain:
    """Make straight segments through (n, 2) ``points``; don't repeat the first when closed."""
    return make_chain(points, closed=closed)


def stroked(points: Points) -> Chain:
    """Make an open polyline of (n, 2) points that are known to be sound: nothing is checked."""
    count = len(points) - 1
    return Chain(locked(points), _straight_bulges(count), _straight_handles(count), closed=False)


@cache
def _straight_bulges(count: int) -> Floats:
    return locked(np.zeros(count))


@cache
def _straight_handles(count: int) -> Floats:
    return locked(_no_handles(count))


def cubic(start: ArrayLike, handle1: ArrayLike, handle2: ArrayLike, end: ArrayLike) -> Chain:
    """Make one cubic Bézier segment."""
    ends = np.array([start, end], dtype=np.float64)
    return make_chain(ends, None, np.array([[handle1, handle2]], dtype=np.float64))


def quadratic(start: ArrayLike, handle: ArrayLike, end: ArrayLike) -> Chain:
    """Make one quadratic Bézier, raised exactly to a cubic."""
    p0, q, p1 = (np.asarray(v, dtype=np.float64) for v in (start, handle, end))
    return cubic(p0, p0 + (q - p0) * (2 / 3), p1 + (q - p1) * (2 / 3), p1)


def arc(center: ArrayLike, radius: float, start_angle: float, sweep: float) -> Chain:
    """Make an open arc about ``center``; ``sweep`` radians, + counter-clockwise, |sweep| ≤ 2π.

    Split into equal parts of at most 180°. Raises ValueError for a radius or sweep of 0.
    """
    if radius <= 0 or sweep == 0 or abs(sweep) > 2 * math.pi + 1e-9:
        raise ValueError("an arc needs a positive radius and a sweep of at most a turn")
    parts = max(1, math.ceil(abs(sweep) / math.pi - 1e-9))
    angles = start_angle + sweep * np.arange(parts + 1) / parts
    joints = np.asarray(center, dtype=np.float64) + radius * np.column_stack(
        [np.cos(angles), np.sin(angles)],
    )
    return make_chain(joints, np.full(parts, math.tan(sweep / parts / 4)))


def circle(center: ArrayLike, radius: float) -> Chain:
    """Make a closed circle of two half arcs, counter-clockwise from angle 0.

    Raises ValueError for a radius that is not positive.
    """
    if radius <= 0:
        raise ValueError("a circle needs a positive radius")
    x, y = np.asarray(center, dtype=np.float64)
    return make_chain([[x + radius, y], [x - radius, y]], [1.0, 1.0], closed=True)


def split_wide_arcs(chain: Chain) -> Chain:
    """Halve every arc of more than 180° (|bulge| > 1), as read from a drawing."""
    while (wide := np.abs(chain.bulges) > 1.0 + 1e-12).any():
        index = int(np.flatnonzero(wide)[0])
        start, end, bulge = chain.starts[index], chain.ends[index], float(chain.bulges[index])
        # The arc's apex lies at the sagitta, to the right of travel for a + bulge.
        chord = end - start
        apex = (start + end) / 2 + bulge / 2 * np.array([chord[1], -chord[0]])
        half = math.tan(math.atan(bulge) / 2)
        points = np.insert(chain.points, index + 1, apex, axis=0)
        bulges = np.insert(chain.bulges, index, half)
        bulges[index + 1] = half
        handles = np.insert(chain.handles, index, np.nan, axis=0)
        chain = make_chain(points, bulges, handles, closed=chain.closed)
    return chain


def reversed_chain(chain: Chain) -> Chain:
    """Give the same curve run the other way; a closed one keeps its first point."""
    backwards = chain.points[::-1]
    points = np.roll(backwards, 1, axis=0) if chain.closed else backwards.copy()
    handles = chain.handles[::-1, ::-1].copy()
    return Chain(locked(points), locked(-chain.bulges[::-1]), locked(handles), chain.closed)


def joined(chains: Sequence[Chain], *, closed: bool = False) -> Chain:
    """Lay open ``chains`` end to start into one; the joints between are taken from the later one.

    With ``closed`` the last end is dropped for the first start. The caller answers for the ends
    meeting. Raises ValueError for no chains or a closed one among them.
    """
    if not chains or any(chain.closed for chain in chains):
        raise ValueError("only open chains can be joined")
    joints = [chain.points[:-1] for chain in chains]
    if not closed:
        joints.append(chains[-1].points[-1:])
    return Chain(
        locked(np.concatenate(joints)),
        locked(np.concatenate([chain.bulges for chain in chains])),
        locked(np.concatenate([chain.handles for chain in chains])),
        closed,
    )


def opened(chain: Chain) -> Chain:
    """Give a closed chain as an open one that ends where it begins; an open one as it is."""
    if not chain.closed:
        return chain
    points = locked(np.concatenate([chain.points, chain.points[:1]]))
    return Chain(points, chain.bulges, chain.handles, closed=False)


def closed_up(chain: Chain) -> Chain:
    """Give an open chain, whose last point is taken to be its first, as a closed one."""
    if chain.closed:
        return chain
    return Chain(locked(chain.points[:-1].copy()), chain.bulges, chain.handles, closed=True)


def started_at(chain: Chain, joint: int) -> Chain:
    """Turn a closed chain so that it begins at its joint number ``joint``."""
    if not chain.closed:
        raise ValueError("only a closed chain has a free start")
    return Chain(
        locked(np.roll(chain.points, -joint, axis=0)),
        locked(np.roll(chain.bulges, -joint)),
        locked(np.roll(chain.handles, -joint, axis=0)),
        closed=True,
    )


def segment(chain: Chain, index: int) -> Chain:
    """Give segment ``index`` as an open chain of its own."""
    ends = np.stack([chain.starts[index], chain.ends[index]])
    return Chain(
        locked(ends),
        locked(chain.bulges[index : index + 1].copy()),
        locked(chain.handles[index : index + 1].copy()),
        closed=False,
    )


def segments(chain: Chain) -> Iterable[Chain]:
    """Give each segment as an open chain, in order."""
    return (segment(chain, index) for index in range(len(chain)))


def without_short_segments(chain: Chain, shortest: float) -> Chain | None:
    """Drop segments whose chord is not above ``shortest`` and that hold no loop; None if all go."""
    chord = np.hypot(*(chain.ends - chain.starts).T)
    if chord.min() > shortest:
        return chain
    reach = np.hypot(*(chain.handles - chain.starts[:, None]).transpose(2, 0, 1)).max(axis=1)
    keep = (chord > shortest) | (np.nan_to_num(reach) > shortest)
    if keep.all():
        return chain
    if not keep.any():
        return None
    starts = chain.starts[keep]
    points = starts if chain.closed else np.concatenate([starts, chain.points[-1:]])
    return Chain(
        locked(points), locked(chain.bulges[keep]), locked(chain.handles[keep]), chain.closed
    )
