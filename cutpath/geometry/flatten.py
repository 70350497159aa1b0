"""Curves to polylines within a chord tolerance, keeping track of what each point came from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Floats, Ints, Points, locked


@dataclass(frozen=True, slots=True, eq=False)
class Flattened:
    """Points on a chain: (m, 2), the segment each belongs to, and the parameter 0…1 on it.

    A closed chain's first point is not repeated. A joint belongs to the segment it starts.
    """

    points: Points
    owner: Ints
    parameter: Floats


def arc_geometry(chain: Chain) -> tuple[Points, Floats, Floats, Floats]:
    """Give centre (n, 2), radius, start angle and sweep (n,) of each arc; NaN for other segments.

    For a chord c and bulge b: radius = |c| (1 + b²) / (4 |b|) (from the DXF reference's bulge).
    """
    start, end, bulge = chain.starts, chain.ends, chain.bulges
    with np.errstate(divide="ignore", invalid="ignore"):
        chord = end - start
        lift = (1.0 - bulge**2) / (4.0 * bulge)
        center = (start + end) / 2 + lift[:, None] * np.stack([-chord[:, 1], chord[:, 0]], axis=1)
        spoke = start - center
        radius = np.hypot(spoke[:, 0], spoke[:, 1])
        angle = np.arctan2(spoke[:, 1], spoke[:, 0])
        sweep = np.where(bulge != 0, 4 * np.arctan(bulge), np.nan)
    return center, np.where(bulge != 0, radius, np.nan), angle, sweep


def piece_counts(chain: Chain, tolerance: float) -> Ints:
    """Give how many straight pieces each segment needs to stay within ``tolerance`` mm, (n,).

    Arc: the sagitta r (1 − cos(θ/2)) bounds the error. Cubic: a chord of 1/m of the parameter is
    off by at most 6 · max|second difference| / (8 m²) (Taylor's remainder).
    """
    counts = np.ones(len(chain), dtype=np.int64)
    is_arc = chain.is_arc
    if is_arc.any():
        _, radius, _, sweep = arc_geometry(chain)
        # 1 − cos(θ/2) = 2 sin²(θ/4): this form keeps its digits on huge radii.
        step = 4 * np.arcsin(np.sqrt(np.minimum(tolerance / (2 * radius[is_arc]), 1.0)))
        counts[is_arc] = np.maximum(np.ceil(np.abs(sweep[is_arc]) / step - 1e-9), 1).astype(int)
    is_cubic = chain.is_cubic
    if is_cubic.any():
        p0, p3 = chain.starts[is_cubic], chain.ends[is_cubic]
        p1, p2 = chain.handles[is_cubic, 0], chain.handles[is_cubic, 1]
        bend = np.maximum(
            np.hypot(*(p0 - 2 * p1 + p2).T),
            np.hypot(*(p1 - 2 * p2 + p3).T),
        )
        counts[is_cubic] = np.maximum(np.ceil(np.sqrt(0.75 * bend / tolerance)), 1).astype(int)
    return counts


def points_at(chain: Chain, owner: Ints, parameter: Floats) -> Points:
    """Give the points at ``parameter`` 0…1 on segments ``owner``, (m, 2).

    The parameter is proportional to length on lines and arcs, Bézier's own on cubics.
    """
    start, end = chain.starts[owner], chain.ends[owner]
    t = parameter[:, None]
    out = start + (end - start) * t
    on_arc = chain.is_arc[owner]
    if on_arc.any():
        out[on_arc] = _on_arcs(chain, owner[on_arc], parameter[on_arc])
    on_cubic = chain.is_cubic[owner]
    if on_cubic.any():
        s = t[on_cubic]
        p1, p2 = chain.handles[owner[on_cubic], 0], chain.handles[owner[on_cubic], 1]
        out[on_cubic] = (
            (1 - s) ** 3 * start[on_cubic]
            + 3 * (1 - s) ** 2 * s * p1
            + 3 * (1 - s) * s**2 * p2
            + s**3 * end[on_cubic]
        )
    return out


def _on_arcs(chain: Chain, rows: Ints, parameter: Floats) -> Points:
    """Give points on arcs from their chords, which keeps its digits on huge radii.

    After turning φ of θ the point is 2 r sin(φ/2) from the start, along the chord's direction
    turned by (φ − θ)/2; and 2 r = |chord| / sin(θ/2) (chord and inscribed-angle theorems).
    """
    sweep = 4 * np.arctan(chain.bulges[rows])
    turned = sweep * parameter
    share = np.sin(turned / 2) / np.sin(sweep / 2)
    cos, sin = np.cos((turned - sweep) / 2), np.sin((turned - sweep) / 2)
    start = chain.starts[rows]
    x, y = (chain.ends[rows] - start).T
    along = np.stack([cos * x - sin * y, sin * x + cos * y], axis=1)
    return np.asarray(start + share[:, None] * along)


def flatten(chain: Chain, tolerance: float) -> Flattened:
    """Give points on ``chain`` whose chords stay within ``tolerance`` mm of it.

    Joints are given exactly as they are.
    """
    counts = piece_counts(chain, tolerance)
    owner = np.repeat(np.arange(len(chain)), counts)
    first = np.concatenate([[0], np.cumsum(counts)[:-1]])
    parameter = (np.arange(len(owner)) - first[owner]) / counts[owner]
    points = points_at(chain, owner, parameter)
    points[first] = chain.starts
    if not chain.closed:
        points = np.concatenate([points, chain.points[-1:]])
        owner = np.append(owner, len(chain) - 1)
        parameter = np.append(parameter, 1.0)
    return Flattened(locked(points), locked(owner), locked(parameter))
