"""Cubics to pairs of arcs, so that everything after this is lines and arcs and offsets are exact.

Each cubic is replaced by biarcs: two arcs that share a tangent where they meet and have the
curve's own tangents at their outer ends. The joint is the one with equal tangent lengths (Bolton,
"Biarc curves", Computer-Aided Design 7, 1975). Where a pair strays beyond the tolerance its cubic
is halved; all cubics of a chain go through each round together.
"""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Bools, Floats, Ints, cross, locked, turn_between, unit

_SAMPLES = np.linspace(0, 1, 17)[1:-1]
_SHORT = 1e-7
_DEEPEST = 40


def as_arcs(chain: Chain, tolerance: float) -> Chain:
    """Give ``chain`` with every cubic replaced by arcs within ``tolerance`` mm, both ways.

    Lines and arcs are kept as they are; joints stay where they are.
    """
    rows = np.flatnonzero(chain.is_cubic)
    if not len(rows):
        return chain
    fitted = _fit(_control_points(chain, rows), rows, tolerance)
    points: list[Floats] = []
    bulges: list[Floats] = []
    for index in range(len(chain)):
        if index in fitted:
            starts, bends = fitted[index]
            points.append(starts)
            bulges.append(bends)
        else:
            points.append(chain.points[index : index + 1])
            bulges.append(chain.bulges[index : index + 1])
    if not chain.closed:
        points.append(chain.points[-1:])
    arcs = np.concatenate(bulges)
    handles = np.full((len(arcs), 2, 2), np.nan)
    return Chain(locked(np.concatenate(points)), locked(arcs), locked(handles), chain.closed)


def _control_points(chain: Chain, rows: Ints) -> Floats:
    inner = chain.handles[rows]
    return np.stack([chain.starts[rows], inner[:, 0], inner[:, 1], chain.ends[rows]], axis=1)


def _fit(cubics: Floats, rows: Ints, tolerance: float) -> dict[int, tuple[Floats, Floats]]:
    """Give, for each segment in ``rows``, the arcs' start points and bulges in order."""
    order = np.zeros(len(cubics))
    span = np.ones(len(cubics))
    done: list[tuple[Ints, Floats, Floats, Floats]] = []
    for depth in range(_DEEPEST):
        joint, bends, good = _biarcs(cubics, tolerance)
        short = np.abs(cubics - cubics[:, :1]).max(axis=(1, 2)) < _SHORT
        good |= short | (depth == _DEEPEST - 1)
        starts = np.stack([cubics[good, 0], joint[good]], axis=1)
        done.append((rows[good], order[good], starts, bends[good]))
        if good.all():
            break
        cubics, rows, order, span = _halved(cubics[~good], rows[~good], order[~good], span[~good])
    return _collected(done)


def _collected(
    done: list[tuple[Ints, Floats, Floats, Floats]],
) -> dict[int, tuple[Floats, Floats]]:
    rows = np.concatenate([part[0] for part in done])
    order = np.lexsort((np.concatenate([part[1] for part in done]), rows))
    starts = np.concatenate([part[2] for part in done])[order]
    bends = np.concatenate([part[3] for part in done])[order]
    rows = rows[order]
    found = {}
    for index in np.unique(rows):
        mine = rows == index
        found[int(index)] = _tidied(starts[mine].reshape(-1, 2), bends[mine].reshape(-1))
    return found


def _tidied(points: Floats, bulges: Floats) -> tuple[Floats, Floats]:
    """Drop arcs of no length (a biarc's joint may fall on its end)."""
    gap = np.hypot(*np.diff(points, axis=0).T)
    keep = np.append(gap > _SHORT, True)
    keep[0] = True
    # A dropped start hands its segment's end to the one before it, which already reaches there.
    return points[keep], bulges[keep]


def _halved(
    cubics: Floats, rows: Ints, order: Floats, span: Floats
) -> tuple[Floats, Ints, Floats, Floats]:
    """Split each cubic at its middle (de Casteljau); ``order`` keeps the sequence along it."""
    p0, p1, p2, p3 = (cubics[:, i] for i in range(4))
    q0, q1, q2 = (p0 + p1) / 2, (p1 + p2) / 2, (p2 + p3) / 2
    r0, r1 = (q0 + q1) / 2, (q1 + q2) / 2
    s = (r0 + r1) / 2
    first, second = np.stack([p0, q0, r0, s], axis=1), np.stack([s, r1, q2, p3], axis=1)
    half = span / 2
    return (
        np.concatenate([first, second]),
        np.concatenate([rows, rows]),
        np.concatenate([order, order + half]),
        np.concatenate([half, half]),
    )


def _end_tangents(cubics: Floats) -> tuple[Floats, Floats]:
    """Give unit tangents at both ends, looking further in where a handle lies on its end."""
    p0, p1, p2, p3 = (cubics[:, i] for i in range(4))
    size = np.hypot(*(p3 - p0).T) + np.hypot(*(p1 - p0).T) + np.hypot(*(p2 - p0).T) + 1e-300
    start = _first_that_counts([p1 - p0, p2 - p0, p3 - p0], size)
    end = _first_that_counts([p3 - p2, p3 - p1, p3 - p0], size)
    return unit(start), unit(end)


def _first_that_counts(candidates: list[Floats], size: Floats) -> Floats:
    out = candidates[-1].copy()
    for vector in reversed(candidates[:-1]):
        counts = np.hypot(*vector.T) > 1e-9 * size
        out[counts] = vector[counts]
    return out


def _biarcs(cubics: Floats, tolerance: float) -> tuple[Floats, Floats, Bools]:
    """Give joint (k, 2), bulges (k, 2) and whether each pair is within ``tolerance``, (k,)."""
    p0, p3 = cubics[:, 0], cubics[:, 3]
    t0, t1 = _end_tangents(cubics)
    joint, bends = biarc(p0, t0, p3, t1)
    within = _strays(cubics, joint, bends, t0) <= 0.9 * tolerance
    narrow = np.asarray(np.abs(bends).max(axis=1) <= np.tan(np.pi / 8))
    sound = np.asarray(np.isfinite(bends.sum(axis=1)))
    return joint, bends, np.asarray(within & narrow & sound)


def biarc(p0: Floats, t0: Floats, p1: Floats, t1: Floats) -> tuple[Floats, Floats]:
    """Give joints (k, 2) and both bulges (k, 2) of biarcs from ``p0`` to ``p1``, all (k, 2).

    ``t0`` and ``t1`` are the unit tangents there. Bulges that bend nothing are 0.
    """
    reach = _tangent_length(p1 - p0, t0, t1)
    joint = (p0 + p1 + reach[:, None] * (t0 - t1)) / 2
    turn0 = turn_between(t0, joint - p0)
    turn1 = turn_between(p1 - joint, t1)
    bends = np.stack([np.tan(turn0 / 2), np.tan(turn1 / 2)], axis=1)
    flat = np.stack([np.hypot(*(joint - p0).T), np.hypot(*(p1 - joint).T)], axis=1)
    return joint, np.where(np.abs(bends) * flat < 1e-9, 0.0, bends)


def _tangent_length(chord: Floats, t0: Floats, t1: Floats) -> Floats:
    """Solve |chord − d (t0 + t1)| = 2 d for the positive d (Bolton's equal-length choice)."""
    both = t0 + t1
    along = np.sum(chord * both, axis=1)
    size = np.sum(chord * chord, axis=1)
    bend = 2 * (1 - np.sum(t0 * t1, axis=1))
    root = np.sqrt(np.maximum(along**2 + bend * size, 0.0))
    # The form that does not cancel: d = size / (along + root).
    bottom = along + root
    reach: Floats = np.divide(size, bottom, out=np.zeros_like(size), where=bottom > 1e-300)
    return reach


def _strays(cubics: Floats, joint: Floats, bends: Floats, t0: Floats) -> Floats:
    """Give how far each cubic is from its pair of arcs, by dense samples, (k,)."""
    s = _SAMPLES[None, :, None]
    p0, p1, p2, p3 = (cubics[:, i, None] for i in range(4))
    on = (1 - s) ** 3 * p0 + 3 * (1 - s) ** 2 * s * p1 + 3 * (1 - s) * s**2 * p2 + s**3 * p3
    first = joint - cubics[:, 0]
    across = unit(first)
    # The tangent at the joint is the start tangent mirrored in the first chord.
    at_joint = 2 * np.sum(t0 * across, axis=1)[:, None] * across - t0
    early = np.sum((on - joint[:, None]) * at_joint[:, None], axis=2) < 0
    gap0 = arc_gap(on, cubics[:, 0], joint, bends[:, 0])
    gap1 = arc_gap(on, joint, cubics[:, 3], bends[:, 1])
    return np.asarray(np.where(early, gap0, gap1).max(axis=1))


def arc_gap(on: Floats, start: Floats, end: Floats, bulge: Floats) -> Floats:
    """Give how far (k, s, 2) points are from k arcs of at most 180°, (k, s).

    | |p − centre| − r | beside an arc, in a form that holds for huge radii; past its ends with the
    way past them, along the chord, put in.
    """
    chord = end - start
    size = np.hypot(*chord.T)[:, None]
    middle = (start + end)[:, None] / 2
    ahead = np.where(size < _SHORT, [1.0, 0.0], chord / np.maximum(size, 1e-300))[:, None]
    x = np.sum((on - middle) * ahead, axis=2)
    y = cross(ahead, on - middle)
    b = bulge[:, None]
    half = size / 2
    # In the chord's frame the circle is y (half (1 − b²) / b) = x² + y² − half²,
    # so F = b (x² + y² − half²) − half (1 − b²) y is 0 on it, and |grad F| = half (1 + b²).
    value = b * (x**2 + y**2 - half**2) - half * (1 - b**2) * y
    grad = np.hypot(2 * b * x, 2 * b * y - half * (1 - b**2))
    gap = np.abs(value) / np.maximum(grad, 1e-300)
    # Where a curve turns back on itself it may lie on the arc's circle but past its ends; and an
    # arc of no length is a point.
    past = np.hypot(gap, np.maximum(np.abs(x) - half, 0.0))
    return np.asarray(np.where(size < _SHORT, np.hypot(x, y), past))
