"""Fewer segments for the same curve."""

from __future__ import annotations

import math

import numpy as np

from cutpath.geometry.chain import Chain, make_chain, started_at
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.points import Floats, Point

_CLOSE = 1e-5
_WIDEST = math.pi + 1e-9


def merged(chain: Chain, shortest: float = 1e-4) -> Chain:
    """Join neighbouring segments of one line or one circle, and drop those below ``shortest`` mm.

    The curve moves by at most about ``shortest``. Cubics are kept as they are. A closed chain may
    begin at another joint.
    """
    if chain.closed:
        chain = _begun_at_a_break(chain)
    centers, radii, _, sweeps = arc_geometry(chain)
    starts, ends, cubic = chain.starts, chain.ends, chain.is_cubic
    joints = [starts[0]]
    bulges: list[float] = []
    handles: list[Floats] = []
    run = -1  # the segment that the last one laid belongs with
    span = 0.0
    for index in range(len(chain)):
        short = not cubic[index] and float(np.hypot(*(ends[index] - starts[index]))) < shortest
        if short and index < len(chain) - 1:
            continue
        arc = bool(chain.bulges[index])
        turn = float(sweeps[index]) if arc else 0.0
        same = run >= 0 and not cubic[index] and not cubic[run]
        if same and arc and chain.bulges[run] * chain.bulges[index] > 0:
            same = (
                float(np.hypot(*(centers[run] - centers[index]))) < _CLOSE
                and abs(float(radii[run] - radii[index])) < _CLOSE
                and abs(span + turn) <= _WIDEST
            )
        elif same:
            same = (
                not arc and not chain.bulges[run] and _aligned(joints[-2], joints[-1], ends[index])
            )
        if same:
            joints[-1] = ends[index]
            span += turn
            bulges[-1] = math.tan(span / 4)
        else:
            joints.append(ends[index])
            bulges.append(float(chain.bulges[index]))
            handles.append(chain.handles[index])
            run, span = index, turn
    if chain.closed:
        joints.pop()
    return make_chain(joints, bulges, handles, closed=chain.closed)


def _begun_at_a_break(chain: Chain) -> Chain:
    """Turn a closed chain to begin where two segments do not belong to one line."""
    before, after = np.roll(chain.starts, 1, axis=0), chain.ends
    for index in range(len(chain)):
        straight = not chain.bulges[index] and not chain.bulges[index - 1]
        if not straight or not _aligned(before[index], chain.points[index], after[index]):
            return started_at(chain, index) if index else chain
    return chain


def _aligned(a: Point, b: Point, c: Point) -> bool:
    """Tell whether b lies on the way from a to c."""
    ab, bc = b - a, c - b
    along = float(ab @ bc)
    off = abs(float(ab[0] * bc[1] - ab[1] * bc[0]))
    size = float(np.hypot(*ab) + np.hypot(*bc))
    return along >= 0 and off <= _CLOSE * size
