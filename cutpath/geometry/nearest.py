"""The nearest places on a chain to given points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import piece_counts, points_at
from cutpath.geometry.measure import cubic_length, joint_stations
from cutpath.geometry.points import Floats, Ints, Points


@dataclass(frozen=True, slots=True, eq=False)
class Nearest:
    """The nearest places on a chain: station (m,), point (m, 2) and distance (m,), mm."""

    station: Floats
    point: Points
    distance: Floats


def nearest(chain: Chain, targets: Points) -> Nearest:
    """Give the place on ``chain`` nearest to each of (m, 2) ``targets``.

    Exact on lines and arcs; cubics by dense seeds and Newton's steps, to about 1e-9 mm.
    """
    stations = joint_stations(chain)
    owner, parameter, distance = _nearest_simple(chain, targets)
    known = np.minimum(distance, _joint_gap(chain, targets))
    for index in _nearest_hulls_first(chain, targets):
        rows = np.flatnonzero(_hull_gap(chain, index, targets) <= np.minimum(known, distance))
        if not len(rows):
            continue
        at = _nearest_on_cubic(chain, index, targets[rows])
        reached = points_at(chain, np.full(len(rows), index), at)
        gap = np.hypot(*(reached - targets[rows]).T)
        closer = gap < distance[rows]
        better = rows[closer]
        owner[better], parameter[better], distance[better] = index, at[closer], gap[closer]
    point = points_at(chain, owner, parameter)
    along = parameter * (stations[owner + 1] - stations[owner])
    on_cubic = np.flatnonzero(chain.is_cubic[owner])
    if len(on_cubic):
        rows = owner[on_cubic]
        along[on_cubic] = cubic_length(chain, rows, np.zeros(len(rows)), parameter[on_cubic])
    return Nearest(stations[owner] + along, point, np.hypot(*(point - targets).T))


_BLOCK = 500_000
"""How many distances are worked out at once, so that memory stays small."""


def _nearest_simple(chain: Chain, targets: Points) -> tuple[Ints, Floats, Floats]:
    """Give segment, parameter and distance of the nearest place on lines and arcs, (m,) each."""
    owner = np.zeros(len(targets), dtype=np.int64)
    parameter, distance = np.zeros(len(targets)), np.full(len(targets), np.inf)
    simple = np.flatnonzero(~chain.is_cubic)
    if not len(simple):
        return owner, parameter, distance
    step = max(1, _BLOCK // len(simple))
    for low in range(0, len(targets), step):
        block = targets[low : low + step]
        at, gap = _to_lines(chain, simple, block)
        arcs = chain.is_arc[simple]
        if arcs.any():
            at[:, arcs], gap[:, arcs] = _to_arcs(chain, simple[arcs], block)
        best = gap.argmin(axis=1)
        rows = np.arange(len(block))
        owner[low : low + step] = simple[best]
        parameter[low : low + step], distance[low : low + step] = at[rows, best], gap[rows, best]
    return owner, parameter, distance


def _to_lines(chain: Chain, rows: Ints, targets: Points) -> tuple[Floats, Floats]:
    """Give parameter and distance from each target to each chord, (m, k)."""
    start = chain.starts[rows]
    chord = chain.ends[rows] - start
    size = np.sum(chord * chord, axis=1)
    size[size == 0] = 1.0
    away = targets[:, None] - start[None]
    at = np.clip(np.sum(away * chord, axis=2) / size, 0.0, 1.0)
    off = away - at[..., None] * chord
    return at, np.hypot(off[..., 0], off[..., 1])


def _to_arcs(chain: Chain, rows: Ints, targets: Points) -> tuple[Floats, Floats]:
    """Give parameter and distance from each target to each arc, (m, k).

    Worked in each chord's own frame, from its middle, which keeps its digits on huge radii.
    """
    start, chord = chain.starts[rows], chain.ends[rows] - chain.starts[rows]
    bulge = chain.bulges[rows]
    half = np.hypot(chord[:, 0], chord[:, 1]) / 2
    away = targets[:, None] - (start + chord / 2)[None]
    size = np.maximum(2 * half, 1e-300)
    x = np.sum(away * chord, axis=2) / size
    # Away from the bow: the centre lies there at half (1 − b²) / (2 |b|).
    y = (chord[:, 0] * away[..., 1] - chord[:, 1] * away[..., 0]) / size * np.sign(bulge)
    wide = np.abs(bulge)
    turned = np.arctan2(x, half * (1 - wide**2) / (2 * wide) - y)
    sweep = 4 * np.arctan(wide)
    at = np.clip(turned / sweep + 0.5, 0.0, 1.0)
    owner = np.broadcast_to(rows, at.shape).ravel()
    reached = points_at(chain, owner, at.ravel()).reshape(*at.shape, 2)
    gap = reached - targets[:, None]
    return at, np.hypot(gap[..., 0], gap[..., 1])


def _nearest_hulls_first(chain: Chain, targets: Points) -> list[int]:
    """Give the cubics in the order in which they may be near, so that most need no look."""
    cubics = np.flatnonzero(chain.is_cubic).tolist()
    if len(cubics) < 2 or not len(targets):
        return cubics
    return sorted(cubics, key=lambda index: float(_hull_gap(chain, index, targets).min()))


def _joint_gap(chain: Chain, targets: Points) -> Floats:
    """Give an upper bound of the distance to the chain: that to the nearest joint, (m,)."""
    out = np.empty(len(targets))
    step = max(1, _BLOCK // len(chain.points))
    for low in range(0, len(targets), step):
        away = targets[low : low + step, None] - chain.points[None]
        out[low : low + step] = np.hypot(away[..., 0], away[..., 1]).min(axis=1)
    return out + 1e-9


def _hull_gap(chain: Chain, index: int, targets: Points) -> Floats:
    """Give a lower bound of the distance to a cubic: that to the box of its control points."""
    held = np.concatenate(
        [chain.starts[index : index + 1], chain.handles[index], chain.ends[index : index + 1]]
    )
    low, high = held.min(axis=0), held.max(axis=0)
    away = np.maximum(np.maximum(low - targets, targets - high), 0.0)
    return np.asarray(np.hypot(away[:, 0], away[:, 1]))


_NEWTON_STEPS = 50
_FEWEST_SEEDS = 64
_TRIALS = 4


def _nearest_on_cubic(chain: Chain, index: int, targets: Points) -> Floats:
    # Seeds must be denser than the sharpest bend, or two feet hide between neighbours.
    count = max(_FEWEST_SEEDS, int(piece_counts(chain, 0.01)[index]))
    seeds = np.linspace(0, 1, count + 1)
    on_curve = points_at(chain, np.full(count + 1, index), seeds)
    gap = np.hypot(*(targets[:, None] - on_curve[None]).transpose(2, 0, 1))
    # A curve that passes near itself has several local minima: refine the best few.
    fenced = np.pad(gap, ((0, 0), (1, 1)), constant_values=np.inf)
    is_low = (gap <= fenced[:, :-2]) & (gap <= fenced[:, 2:])
    ranked = np.argsort(np.where(is_low, gap, np.inf), axis=1, kind="stable")[:, :_TRIALS]
    tried = seeds[ranked].ravel()
    aims = np.repeat(targets, _TRIALS, axis=0)
    parameter = _descended(chain, index, aims, tried, 1 / count)
    reached = points_at(chain, np.full(len(aims), index), parameter)
    distance = np.hypot(*(reached - aims).T).reshape(-1, _TRIALS)
    best = distance.argmin(axis=1)
    return np.asarray(parameter.reshape(-1, _TRIALS)[np.arange(len(targets)), best])


def _descended(chain: Chain, index: int, targets: Points, seeds: Floats, step: float) -> Floats:
    """Find where (P − target) · P′ is 0 within ``step`` of each seed, by Newton in a bracket."""
    p0, p3 = chain.starts[index], chain.ends[index]
    p1, p2 = chain.handles[index]
    c1, c2, c3 = 3 * (p1 - p0), 3 * (p0 - 2 * p1 + p2), p3 - p0 + 3 * (p1 - p2)
    low, high = np.clip(seeds - step, 0, 1), np.clip(seeds + step, 0, 1)
    t = seeds
    for _ in range(_NEWTON_STEPS):
        s = t[:, None]
        away = p0 + s * (c1 + s * (c2 + s * c3)) - targets
        first, second = c1 + s * (2 * c2 + 3 * s * c3), 2 * c2 + 6 * s * c3
        slope = np.sum(away * first, axis=1)
        low, high = np.where(slope < 0, t, low), np.where(slope < 0, high, t)
        bend = np.sum(first * first, axis=1) + np.sum(away * second, axis=1)
        aim = t - np.divide(slope, bend, out=np.full_like(t, np.inf), where=bend > 0)
        # A step out of the bracket, or uphill, is replaced by halving it.
        after = np.where((aim > low) & (aim < high), aim, (low + high) / 2)
        settled = bool(np.abs(after - t).max() < 1e-15)
        t = after
        if settled:
            break
    return np.asarray(t)
