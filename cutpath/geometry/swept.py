"""What is swept by a round tool, and how much of a line lies inside pieces."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from cutpath.geometry.chain import Chain, opened, polyline
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Point

Geometries = np.ndarray[tuple[int, ...], np.dtype[np.object_]]

_FLAT = 0.0005
"""mm; how far the chords of curves stray here."""
_LEAST = 8
"""Chords of a quarter of a circle, at least."""


def swept_edge(run: Chain, radius: float, *, is_inner: bool) -> Chain | None:
    """Give the largest edge of what a disc sweeps along ``run``: inside a loop, or around it.

    None where the sweep has no such edge. Chords stray by 0.0005 mm.
    """
    band = _string(opened(run)).buffer(radius, _quarter(radius))
    rings = list(band.interiors) if is_inner else [band.exterior]
    if not rings:
        return None
    return _loop(max(rings, key=lambda ring: shapely.Polygon(ring).area))


def discs_edges(centers: Sequence[Point], radius: float) -> list[Chain]:
    """Give the outer edges of discs of ``radius`` mm about ``centers``, joined where they touch."""
    if not len(centers):
        return []
    discs = shapely.points(np.array(centers))
    whole = shapely.union_all(shapely.buffer(discs, radius, quad_segs=_quarter(radius)))
    return [_loop(part.exterior) for part in shapely.get_parts(whole)]


def lengths_inside(
    runs: Sequence[Chain],
    lines: Sequence[Chain],
    outlines: Sequence[Chain],
    openings: Sequence[Chain],
    margin: float,
) -> Floats:
    """Give how many mm of each run lie inside ``outlines`` but not in ``openings``, (n,).

    What is within ``margin`` mm of ``lines``, or of the outlines' edges, does not count.
    """
    if not runs or not outlines:
        return np.zeros(len(runs))
    strings = np.array([_string(run) for run in runs])
    extra = _apart_from(strings, np.array([_string(opened(run)) for run in lines]), margin)
    if openings:
        holes = shapely.buffer([_polygon(loop) for loop in openings], margin)
        extra = shapely.difference(extra, shapely.union_all(holes))
    shrunk = shapely.buffer(np.array([_polygon(loop) for loop in outlines]), -margin)
    found = np.zeros(len(runs))
    which, piece = shapely.STRtree(shrunk).query(extra, predicate="intersects")
    np.add.at(found, which, shapely.length(shapely.intersection(extra[which], shrunk[piece])))
    return found


def length_inside(run: Chain, loop: Chain) -> float:
    """Give how many mm of ``run`` lie inside the closed ``loop``."""
    return float(shapely.length(shapely.intersection(_string(run), _polygon(loop))))


def _apart_from(strings: Geometries, lines: Geometries, margin: float) -> Geometries:
    """Take away what is within ``margin`` of any of ``lines``."""
    if not len(lines):
        return strings
    out = strings.copy()
    which, near = shapely.STRtree(lines).query(strings, predicate="dwithin", distance=margin)
    for run, row in zip(which.tolist(), near.tolist(), strict=True):
        # Only the part of a long line that is near.
        part = shapely.intersection(lines[row], shapely.buffer(strings[run], 2 * margin))
        out[run] = shapely.difference(out[run], shapely.buffer(part, margin))
    return out


def _string(run: Chain) -> shapely.LineString:
    return shapely.LineString(flatten(run, _FLAT).points)


def _polygon(loop: Chain) -> shapely.Polygon:
    return shapely.Polygon(flatten(loop, _FLAT).points)


def _quarter(radius: float) -> int:
    # Sagitta s = r (1 − cos(θ/2)), so θ = 2 √(2 s / r) for small angles.
    return max(_LEAST, int(np.ceil(np.pi / 4 / np.sqrt(2 * _FLAT / radius))))


def _loop(ring: shapely.LinearRing) -> Chain:
    return polyline(shapely.get_coordinates(ring)[:-1], closed=True)
