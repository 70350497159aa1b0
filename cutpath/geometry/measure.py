"""Lengths, areas, boxes, and places along a chain ("stations": mm from its start)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry, piece_counts, points_at
from cutpath.geometry.points import Floats, Ints, Point, Points, cross, unit

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)


def _speed(chain: Chain, rows: Ints, t: Floats) -> Floats:
    """Give |dP/dt| of cubic segments ``rows`` at ``t``, both (m,) or broadcast (m, k)."""
    velocity = _cubic_velocity(chain, rows, t)
    return np.hypot(velocity[..., 0], velocity[..., 1])


def _cubic_velocity(chain: Chain, rows: Ints, t: Floats) -> Floats:
    p0, p3 = chain.starts[rows], chain.ends[rows]
    p1, p2 = chain.handles[rows, 0], chain.handles[rows, 1]
    a, b, c = p1 - p0, p2 - p1, p3 - p2
    if t.ndim == 2:
        a, b, c = a[:, None], b[:, None], c[:, None]
    s = t[..., None]
    return np.asarray(3 * ((1 - s) ** 2 * a + 2 * (1 - s) * s * b + s**2 * c))


def _cubic_length(chain: Chain, rows: Ints, start: Floats, end: Floats) -> Floats:
    """Give the length of cubics between parameters: Gauss-Legendre, halved until it settles."""
    half = (end - start) / 2
    nodes = (start + half)[:, None] + half[:, None] * _NODES
    whole = half * (_speed(chain, rows, nodes) @ _WEIGHTS)
    middle = start + half
    quarter = half / 2
    parts = np.zeros_like(whole)
    for low in (start, middle):
        nodes = (low + quarter)[:, None] + quarter[:, None] * _NODES
        parts += quarter * (_speed(chain, rows, nodes) @ _WEIGHTS)
    rough = (np.abs(whole - parts) > 1e-10 * (1 + parts)) & (half > 1e-6)
    if rough.any():
        keep = rows[rough]
        parts[rough] = _cubic_length(chain, keep, start[rough], middle[rough]) + _cubic_length(
            chain, keep, middle[rough], end[rough]
        )
    return parts


def segment_lengths(chain: Chain) -> Floats:
    """Give the length of each segment, (n,) mm; cubics to about 1e-10 of their length."""
    chord = chain.ends - chain.starts
    out = np.hypot(chord[:, 0], chord[:, 1])
    is_arc = chain.is_arc
    if is_arc.any():
        _, radius, _, sweep = arc_geometry(chain)
        out[is_arc] = radius[is_arc] * np.abs(sweep[is_arc])
    rows = np.flatnonzero(chain.is_cubic)
    if len(rows):
        out[rows] = _cubic_length(chain, rows, np.zeros(len(rows)), np.ones(len(rows)))
    return out


def length(chain: Chain) -> float:
    """Give the whole length in mm."""
    return float(segment_lengths(chain).sum())


def signed_area(chain: Chain) -> float:
    """Give the area inside a closed chain in mm², + when it runs counter-clockwise.

    Shoelace over the joints, plus r²(θ − sin θ)/2 an arc and the exact moment of each cubic.
    """
    start, end = chain.starts, chain.ends
    origin = chain.points[0]
    total = float(cross(start - origin, end - origin).sum()) / 2
    is_arc = chain.is_arc
    if is_arc.any():
        _, radius, _, sweep = arc_geometry(chain)
        total += float((radius**2 * (sweep - np.sin(sweep)))[is_arc].sum()) / 2
    rows = chain.is_cubic
    if rows.any():
        p0 = start[rows]
        p1, p2, p3 = chain.handles[rows, 0] - p0, chain.handles[rows, 1] - p0, end[rows] - p0
        # Green's theorem, ½ ∫ P × P′ dt, with the cubic's start as origin.
        total += float((cross(p1, p2) + cross(p1, p3) + 2 * cross(p2, p3)).sum()) * 0.15
    return total


def bounds(chain: Chain) -> tuple[float, float, float, float]:
    """Give the exact box (min x, min y, max x, max y) in mm."""
    found = [chain.points]
    is_arc = chain.is_arc
    if is_arc.any():
        found.append(_arc_extremes(chain))
    if chain.is_cubic.any():
        found.append(_cubic_extremes(chain))
    points = np.concatenate(found)
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _arc_extremes(chain: Chain) -> Points:
    center, radius, angle, sweep = (part[chain.is_arc] for part in arc_geometry(chain))
    low, span = np.where(sweep > 0, angle, angle + sweep), np.abs(sweep)
    found = []
    for quarter in range(4):
        at = quarter * np.pi / 2
        hit = np.mod(at - low, 2 * np.pi) <= span
        spoke = np.array([np.cos(at), np.sin(at)])
        found.append(center[hit] + radius[hit, None] * spoke)
    return np.concatenate(found)


def _cubic_extremes(chain: Chain) -> Points:
    rows = np.flatnonzero(chain.is_cubic)
    p0, p3 = chain.starts[rows], chain.ends[rows]
    p1, p2 = chain.handles[rows, 0], chain.handles[rows, 1]
    c0, c1, c2 = p1 - p0, p2 - p1, p3 - p2
    a, b, c = c0 - 2 * c1 + c2, 2 * (c1 - c0), c0
    found = []
    for axis in (0, 1):
        with np.errstate(divide="ignore", invalid="ignore"):
            root = np.sqrt(b[:, axis] ** 2 - 4 * a[:, axis] * c[:, axis])
            # The stable pair of quadratic roots: q / a and c / q.
            q = -(b[:, axis] + np.where(b[:, axis] < 0, -root, root)) / 2
            candidates = (q / a[:, axis], c[:, axis] / q)
        for t in candidates:
            good = np.isfinite(t) & (t > 0) & (t < 1)
            found.append(points_at(chain, rows[good], t[good]))
    return np.concatenate(found)


def joint_stations(chain: Chain) -> Floats:
    """Give the station of each joint from 0 to the whole length, (n + 1,)."""
    return np.concatenate([[0.0], np.cumsum(segment_lengths(chain))])


def locate(chain: Chain, stations: Floats) -> tuple[Ints, Floats]:
    """Give segment and parameter 0…1 for each station, (m,); stations are clipped to the chain."""
    lengths = segment_lengths(chain)
    joints = np.concatenate([[0.0], np.cumsum(lengths)])
    along = np.clip(stations, 0.0, joints[-1])
    owner = np.clip(np.searchsorted(joints, along, side="right") - 1, 0, len(chain) - 1)
    rest = along - joints[owner]
    size = lengths[owner]
    parameter = np.divide(rest, size, out=np.zeros_like(rest), where=size > 0)
    cubic = chain.is_cubic[owner]
    if cubic.any():
        parameter[cubic] = _cubic_parameter(chain, owner[cubic], rest[cubic], parameter[cubic])
    return owner, np.clip(parameter, 0.0, 1.0)


def _cubic_parameter(chain: Chain, rows: Ints, target: Floats, guess: Floats) -> Floats:
    """Invert arc length by Newton's steps kept inside a shrinking bracket."""
    low, high, t = np.zeros_like(guess), np.ones_like(guess), guess.copy()
    for _ in range(60):
        error = _cubic_length(chain, rows, np.zeros_like(t), t) - target
        if (np.abs(error) < 1e-9).all():
            break
        low, high = np.where(error < 0, t, low), np.where(error > 0, t, high)
        speed = _speed(chain, rows, t)
        step = t - np.divide(error, speed, out=np.full_like(t, np.inf), where=speed > 1e-9)
        t = np.where((step > low) & (step < high), step, (low + high) / 2)
    return t


def tangents(chain: Chain, owner: Ints, parameter: Floats) -> Floats:
    """Give unit tangents at ``parameter`` on segments ``owner``, (m, 2)."""
    out = unit(chain.ends[owner] - chain.starts[owner])
    on_arc = chain.is_arc[owner]
    if on_arc.any():
        _, _, angle, sweep = (part[owner[on_arc]] for part in arc_geometry(chain))
        at = angle + sweep * parameter[on_arc] + np.sign(sweep) * np.pi / 2
        out[on_arc] = np.stack([np.cos(at), np.sin(at)], axis=1)
    on_cubic = chain.is_cubic[owner]
    if on_cubic.any():
        rows, t = owner[on_cubic], parameter[on_cubic]
        velocity = _cubic_velocity(chain, rows, t)
        still = np.hypot(*velocity.T) < 1e-12
        if still.any():  # a handle lies on its end: look a hair inside
            inside = np.clip(t[still], 1e-6, 1 - 1e-6)
            velocity[still] = _cubic_velocity(chain, rows[still], inside)
        out[on_cubic] = unit(velocity)
    return out


def points_at_stations(chain: Chain, stations: Floats) -> tuple[Points, Floats]:
    """Give points and unit tangents at ``stations`` mm from the start, each (m, 2)."""
    owner, parameter = locate(chain, np.asarray(stations, dtype=np.float64))
    return points_at(chain, owner, parameter), tangents(chain, owner, parameter)


def end_tangents(chain: Chain) -> tuple[Point, Point]:
    """Give the unit tangents at the very start and the very end, each (2,)."""
    owner = np.array([0, len(chain) - 1])
    both = tangents(chain, owner, np.array([0.0, 1.0]))
    return both[0], both[1]


def joint_turns(chain: Chain) -> Floats:
    """Give the signed turn in (−π, π] at each joint, (n,) closed or (n − 1,) open.

    Entry i of an open chain is the joint that ends segment i; of a closed one the start of i.
    """
    rows = np.arange(len(chain))
    leaving = tangents(chain, rows, np.zeros(len(chain)))
    arriving = tangents(chain, rows, np.ones(len(chain)))
    before = np.roll(arriving, 1, axis=0) if chain.closed else arriving[:-1]
    after = leaving if chain.closed else leaving[1:]
    return np.asarray(np.arctan2(cross(before, after), np.sum(before * after, axis=1)))


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
        along[on_cubic] = _cubic_length(chain, rows, np.zeros(len(rows)), parameter[on_cubic])
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
