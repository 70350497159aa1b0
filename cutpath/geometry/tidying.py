"""Fewer segments for the same curve."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.geometry.chain import Chain, make_chain, started_at
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.points import Floats

_CLOSE = 1e-5
_WIDEST = math.pi + 1e-9


def merged(chain: Chain, shortest: float = 1e-4) -> Chain:
    """Join neighbouring segments of one line or one circle, and drop those below ``shortest`` mm.

    The curve moves by at most about ``shortest``. Cubics are kept as they are. A closed chain may
    begin at another joint.
    """
    if chain.closed:
        chain = _begun_at_a_break(chain)
    centers, radii, _, sweeps = (part.tolist() for part in arc_geometry(chain))
    starts, ends = chain.starts.tolist(), chain.ends.tolist()
    cubic, bends = chain.is_cubic.tolist(), chain.bulges.tolist()
    joints: list[list[float]] = [starts[0]]
    bulges: list[float] = []
    handles: list[Floats] = []
    run = -1  # the segment that the last one laid belongs with
    span = 0.0
    for index, end in enumerate(ends):
        short = not cubic[index] and math.dist(starts[index], end) < shortest
        if short and index < len(chain) - 1:
            continue
        turn = sweeps[index] if bends[index] else 0.0
        same = run >= 0 and not cubic[index] and not cubic[run]
        if same and bends[run] * bends[index] > 0:
            same = (
                math.dist(centers[run], centers[index]) < _CLOSE
                and abs(radii[run] - radii[index]) < _CLOSE
                and abs(span + turn) <= _WIDEST
            )
        elif same:
            straight = not bends[index] and not bends[run]
            same = straight and _aligned(joints[-2], joints[-1], end)
        if same:
            joints[-1] = end
            span += turn
            bulges[-1] = math.tan(span / 4)
        else:
            joints.append(end)
            bulges.append(bends[index])
            handles.append(chain.handles[index])
            run, span = index, turn
    if chain.closed:
        joints.pop()
    return make_chain(joints, bulges, handles, closed=chain.closed)


def _begun_at_a_break(chain: Chain) -> Chain:
    """Turn a closed chain to begin where two segments do not belong to one line."""
    points, bends = chain.points.tolist(), chain.bulges.tolist()
    for index in range(len(chain)):
        after = points[(index + 1) % len(points)]
        straight = not bends[index] and not bends[index - 1]
        if not straight or not _aligned(points[index - 1], points[index], after):
            return started_at(chain, index) if index else chain
    return chain


def _aligned(a: Sequence[float], b: Sequence[float], c: Sequence[float]) -> bool:
    """Tell whether b lies on the way from a to c."""
    ab_x, ab_y, bc_x, bc_y = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    if ab_x * bc_x + ab_y * bc_y < 0:
        return False
    off = abs(ab_x * bc_y - ab_y * bc_x)
    return off <= _CLOSE * (math.hypot(ab_x, ab_y) + math.hypot(bc_x, bc_y))
