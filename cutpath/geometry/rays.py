"""Where a ray first meets a curve of lines and arcs."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Floats, Point, cross, unit

_TOUCH = 1e-9


def ray_hits(chain: Chain, origin: Point, direction: Floats) -> Floats:
    """Give the distances (mm, ascending, from 0) at which a ray meets ``chain``.

    ``direction`` is a unit vector. A segment that the ray runs along does not count. Raises
    ValueError for cubics.
    """
    if chain.is_cubic.any():
        raise ValueError("rays meet lines and arcs; turn cubics into arcs before")
    straight = ~chain.is_arc
    found = [_line_hits(chain.starts[straight], chain.ends[straight], origin, direction)]
    if chain.is_arc.any():
        found.append(_arc_hits(chain, origin, direction))
    hits = np.concatenate(found)
    return np.unique(np.maximum(hits[hits >= -_TOUCH], 0.0))


def _line_hits(starts: Floats, ends: Floats, origin: Point, direction: Floats) -> Floats:
    along = ends - starts
    det = cross(np.broadcast_to(direction, along.shape), along)
    to_start = starts - origin
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        distance = cross(to_start, along) / det
        share = cross(to_start, np.broadcast_to(direction, along.shape)) / det
    good = np.isfinite(distance) & (share >= -_TOUCH) & (share <= 1 + _TOUCH)
    return np.asarray(distance[good])


def _arc_hits(chain: Chain, origin: Point, direction: Floats) -> Floats:
    """Meet arcs in the frame of their chords, which keeps its digits on huge radii.

    With u along the chord of length c from its start, and v to the left, the circle of bulge b is
    b (u² + v² − c u) − (1 − b²) c v / 2 = 0: the chord itself for b = 0. Of at most half a turn,
    the arc is what lies to the right of its chord for a positive bulge, to the left for a negative.
    """
    start, bulge = chain.starts[chain.is_arc], chain.bulges[chain.is_arc]
    chord = chain.ends[chain.is_arc] - start
    size = np.hypot(chord[:, 0], chord[:, 1])
    along = unit(chord)
    u, v = _in_frame(origin - start, along)
    du, dv = _in_frame(np.broadcast_to(direction, chord.shape), along)
    lean = (1 - bulge**2) * size / 2
    b = bulge * (2 * (u * du + v * dv) - size * du) - lean * dv
    c = bulge * (u * u + v * v - size * u) - lean * v
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        root = np.sqrt(b * b - 4 * bulge * c)
        # The stable pair of quadratic roots: q / a and c / q.
        q = -(b + np.where(b < 0, -root, root)) / 2
        roots = (q / bulge, c / q)
    found = []
    for distance in roots:
        with np.errstate(invalid="ignore", over="ignore"):
            at_u, at_v = u + distance * du, v + distance * dv
        on_arc = (np.sign(bulge) * at_v <= _TOUCH) & (at_u >= -_TOUCH) & (at_u <= size + _TOUCH)
        found.append(distance[np.isfinite(distance) & on_arc])
    return np.concatenate(found)


def _in_frame(vectors: Floats, along: Floats) -> tuple[Floats, Floats]:
    """Give each vector's parts along and to the left of unit directions ``along``."""
    return np.sum(vectors * along, axis=1), cross(along, vectors)
