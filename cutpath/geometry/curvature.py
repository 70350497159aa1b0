"""How a chain bends: curvature at stations, inflections, the smallest radius."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.measure import locate, tangents
from cutpath.geometry.points import Floats, Ints, cross, turn_between

_INSIDE = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
_SEEN = np.radians(0.05)


def curvatures(chain: Chain, owner: Ints, parameter: Floats) -> Floats:
    """Give the signed curvature at ``parameter`` on segments ``owner``, (m,) 1/mm, + to the left.

    |P′ × P″| / |P′|³ for cubics; where a handle lies on its end the value is taken a hair inside.
    """
    out = np.zeros(len(owner))
    on_arc = chain.is_arc[owner]
    if on_arc.any():
        _, radius, _, sweep = (part[owner[on_arc]] for part in arc_geometry(chain))
        out[on_arc] = np.sign(sweep) / radius
    on_cubic = chain.is_cubic[owner]
    if on_cubic.any():
        out[on_cubic] = _cubic_curvature(chain, owner[on_cubic], parameter[on_cubic])
    return out


def _cubic_curvature(chain: Chain, rows: Ints, parameter: Floats) -> Floats:
    t = np.clip(parameter, 1e-6, 1 - 1e-6)[:, None]
    p0, p3 = chain.starts[rows], chain.ends[rows]
    p1, p2 = chain.handles[rows, 0], chain.handles[rows, 1]
    a, b, c = p1 - p0, p2 - p1, p3 - p2
    first = 3 * ((1 - t) ** 2 * a + 2 * (1 - t) * t * b + t**2 * c)
    second = 6 * ((1 - t) * (b - a) + t * (c - b))
    speed = np.hypot(first[:, 0], first[:, 1])
    return np.asarray(cross(first, second) / np.maximum(speed, 1e-12) ** 3)


def curvatures_at(chain: Chain, stations: Floats) -> Floats:
    """Give the signed curvature at ``stations`` mm from the start, (m,) 1/mm."""
    owner, parameter = locate(chain, np.asarray(stations, dtype=np.float64))
    return curvatures(chain, owner, parameter)


def inflections(chain: Chain) -> int:
    """Count how often an open chain changes from bending left to bending right, or back.

    A bend counts when it turns by more than 0.05° before the next one: no eye sees less.
    """
    bends: list[float] = []
    for turn in _turns_along(chain):
        if turn == 0:
            continue
        if bends and np.sign(bends[-1]) == np.sign(turn):
            bends[-1] += turn
        else:
            bends.append(turn)
    seen = np.sign([bend for bend in bends if abs(bend) > _SEEN])
    return int(np.count_nonzero(np.diff(seen)))


def _turns_along(chain: Chain) -> list[float]:
    """Give how far the tangent turns over each quarter of each segment, and at each joint."""
    rows = np.repeat(np.arange(len(chain)), len(_INSIDE))
    ahead = tangents(chain, rows, np.tile(_INSIDE, len(chain)))
    return [float(turn) for turn in turn_between(ahead[:-1], ahead[1:])]


def smallest_radius(chain: Chain, samples: int = 33) -> float:
    """Give the smallest radius inside the segments, mm; infinite for straight ones.

    Corners between segments don't count. Cubics are looked at in ``samples`` places each.
    """
    share = np.linspace(0.0, 1.0, samples)
    rows = np.repeat(np.arange(len(chain)), samples)
    bend = np.abs(curvatures(chain, rows, np.tile(share, len(chain))))
    most = float(bend.max())
    return 1 / most if most > 0 else float("inf")
