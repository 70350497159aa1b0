"""Half pieces to whole ones: what is drawn on one side of a mirror line appears on both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, closed_up, joined, opened, reversed_chain, started_at
from cutpath.geometry.points import Bools, Floats, Point, Points, cross, locked
from cutpath.geometry.splitting import between_joints
from cutpath.geometry.transform import Matrix, moved_points, reflection, transformed
from cutpath.model import Curve, Sort, Spot

_ON_LINE = 0.5
"""How far, mm, from the mirror line counts as on it: such points are digitised."""
_UNPAIRED = {Sort.MIRROR, Sort.GRAIN, Sort.NOTE}
_LOOPS = {Sort.OUTLINE, Sort.CUTOUT}


@dataclass(frozen=True, slots=True, eq=False)
class _Mirror:
    """The line through ``through`` along the unit vector ``along``; ``matrix`` reflects in it."""

    through: Point
    along: Floats
    matrix: Matrix

    def offsets(self, points: Points) -> Floats:
        """Give how far left of the line each of (n, 2) points is, mm."""
        return cross(self.along, points - self.through)

    def on_line(self, points: Points) -> Bools:
        return np.asarray(np.abs(self.offsets(points)) <= _ON_LINE)

    def image(self, chain: Chain) -> Chain:
        return transformed(chain, self.matrix)


def unfolded(
    line: Curve, curves: Sequence[Curve], spots: Sequence[Spot]
) -> tuple[list[Curve], list[Spot]]:
    """Give all curves and spots, with the piece that ``line`` belongs to made whole.

    A piece whose outline already lies on both sides of its mirror line is whole and stays as it
    is. Grain and notes are not doubled, nor is what lies on the line. Raises InputError for a
    mirror line of no length.
    """
    mirror = _mirror_of(line)
    if not _is_half(mirror, [c for c in curves if c.group == line.group]):
        return list(curves), list(spots)
    whole: list[Curve] = []
    for curve in curves:
        if curve.group != line.group or curve.sort in _UNPAIRED:
            whole.append(curve)
        else:
            whole += [replace(curve, chain=chain) for chain in _both(mirror, curve)]
    images = [
        replace(spot, xy=moved_points(spot.xy[None], mirror.matrix)[0])
        for spot in spots
        if spot.group == line.group
        and spot.sort not in _UNPAIRED
        and not mirror.on_line(spot.xy[None])[0]
    ]
    return whole, [*spots, *images]


def _mirror_of(line: Curve) -> _Mirror:
    through, far = line.chain.points[0], line.chain.points[-1]
    size = float(np.hypot(*(far - through)))
    if size <= _ON_LINE:
        raise InputError(
            "the piece's mirror line has no length",
            line.source,
            "Draw it along the whole fold, from one end of the half piece to the other.",
        )
    along = (far - through) / size
    return _Mirror(through, along, reflection(through, along))


def _is_half(mirror: _Mirror, curves: Sequence[Curve]) -> bool:
    outlines = [curve.chain.points for curve in curves if curve.sort is Sort.OUTLINE]
    if not outlines:
        return False
    away = mirror.offsets(np.concatenate(outlines))
    touches = bool((np.abs(away) <= _ON_LINE).any())
    return touches and bool((away >= -_ON_LINE).all() or (away <= _ON_LINE).all())


def _both(mirror: _Mirror, curve: Curve) -> list[Chain]:
    """Give what becomes of one curve of a half piece."""
    chain = curve.chain
    on_line = mirror.on_line(chain.points)
    if on_line.all() and not chain.is_arc.any() and not chain.is_cubic.any():
        # The fold itself is inside the whole piece: no edge of it, but lines drawn there stay.
        return [] if curve.sort in _LOOPS else [chain]
    half = _open_half(chain, on_line) if curve.sort in _LOOPS else None
    if half is None:
        return [chain, mirror.image(chain)]
    half = _ended_on(mirror, half)
    return [closed_up(joined([half, reversed_chain(mirror.image(half))]))]


def _open_half(chain: Chain, on_line: Bools) -> Chain | None:
    """Give the part of a loop off the mirror line, from line to line; None if there is none.

    Only one run of sides may lie on the line: a loop that leaves it twice has no single half.
    """
    if not chain.closed:
        return chain if on_line[0] and on_line[-1] and len(chain) > 1 else None
    straight = np.logical_not(chain.is_arc | chain.is_cubic)
    sides = on_line & np.roll(on_line, -1) & straight
    begins = np.flatnonzero(np.logical_not(sides) & np.roll(sides, 1))
    if len(begins) != 1:
        return None
    turned = opened(started_at(chain, int(begins[0])))
    return between_joints(turned, 0, len(chain) - int(sides.sum()))


def _ended_on(mirror: _Mirror, half: Chain) -> Chain:
    """Give an open half with its two ends put exactly on the mirror line, so that images meet."""
    points = half.points.copy()
    left = np.array([-mirror.along[1], mirror.along[0]])
    points[[0, -1]] -= mirror.offsets(points[[0, -1]])[:, None] * left
    return replace(half, points=locked(points))
