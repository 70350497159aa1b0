"""Lengths, areas, boxes, and places along a chain ("stations": mm from its start)."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry, points_at
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


def cubic_length(chain: Chain, rows: Ints, start: Floats, end: Floats) -> Floats:
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
        parts[rough] = cubic_length(chain, keep, start[rough], middle[rough]) + cubic_length(
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
        out[rows] = cubic_length(chain, rows, np.zeros(len(rows)), np.ones(len(rows)))
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
        error = cubic_length(chain, rows, np.zeros_like(t), t) - target
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
