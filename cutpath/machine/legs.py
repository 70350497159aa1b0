"""All that a file's tools follow, segment by segment in one set of arrays, and how it is parted.

A leg is a line or an arc of at most half a turn. Arrays go over all legs of all ways at once, so
that a million take no longer than numpy does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import points_at
from cutpath.geometry.points import Bools, Floats, Ints, Points, cross
from cutpath.geometry.transform import Matrix, is_similarity, moved_points
from cutpath.moves import Follow

_STRAY = 5e-4
"""mm that an arc may stray from the part of an ellipse that it stands for."""
_AT_END = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Legs:
    """``starts`` and ``ends`` (n, 2) mm, ``bulges`` (n,), ``headings`` (n, 2) radians.

    ``owner`` (n,) is the number of the way that each belongs to, never falling. Headings of blades
    that no axis turns are 0.
    """

    starts: Points
    ends: Points
    bulges: Floats
    headings: Floats
    owner: Ints

    def __len__(self) -> int:
        """Give the number of legs."""
        return len(self.bulges)


def gathered(follows: Sequence[Follow]) -> Legs:
    """Lay out what ``follows`` (at least one) lead along, in order."""
    chains = [follow.chain for follow in follows]
    none = np.zeros((0, 2))
    return Legs(
        np.concatenate([none, *(chain.starts for chain in chains)]),
        np.concatenate([none, *(chain.ends for chain in chains)]),
        np.concatenate([none[:, 0], *(chain.bulges for chain in chains)]),
        np.concatenate([none, *map(_headings, follows)]),
        np.repeat(np.arange(len(chains)), [len(chain) for chain in chains]),
    )


def _headings(follow: Follow) -> Floats:
    return np.zeros((len(follow.chain), 2)) if follow.headings is None else follow.headings


def mapped(legs: Legs, matrix: Matrix) -> Legs:
    """Give ``legs`` after the affine ``matrix``, (2, 3), which keeps left hands left.

    Arcs become arcs: where circles become ellipses, in parts that stray 0.0005 mm at most.
    """
    if is_similarity(matrix):
        starts, ends = moved_points(legs.starts, matrix), moved_points(legs.ends, matrix)
        return replace(legs, starts=starts, ends=ends)
    legs = parted(legs, *_shares_of_ellipses(legs, matrix))
    bent = np.flatnonzero(legs.bulges)
    middles = moved_points(_points_on(legs, bent, np.full(len(bent), 0.5)), matrix)
    starts, ends = moved_points(legs.starts, matrix), moved_points(legs.ends, matrix)
    before, after = middles - starts[bent], ends[bent] - middles
    # Two chords of one arc turn by half its sweep where they meet (inscribed angles).
    turn = np.arctan2(cross(before, after), (before * after).sum(axis=1))
    bulges = legs.bulges.copy()
    bulges[bent] = np.tan(turn / 2)
    return replace(legs, starts=starts, ends=ends, bulges=bulges)


def _shares_of_ellipses(legs: Legs, matrix: Matrix) -> tuple[Ints, Floats]:
    """Give where arcs are parted so that each part of an ellipse is nearly an arc.

    To the first order the ellipse strays from a circle by R e cos 2θ, e being half of what its axes
    differ by. An arc through a part's ends and middle takes up what a shift and another radius can:
    of cos 2θ, 6/6 · max |θ (θ² − w²)| = 0.385 w³ is left, w being half of the part (interpolation
    by 1, cos θ and sin θ, after Peano). Twice that is allowed for, for the higher orders.
    """
    rows = np.flatnonzero(legs.bulges)
    long, short = np.linalg.svd(matrix[:, :2], compute_uv=False)
    sweep = 4 * np.abs(np.arctan(legs.bulges[rows]))
    chord = np.hypot(*(legs.ends[rows] - legs.starts[rows]).T)
    radius = chord / (2 * np.sin(sweep / 2))
    half = np.cbrt(_STRAY / (2 * 0.385 * radius * (long - short) / 2))
    counts = np.maximum(np.ceil(sweep / (2 * half)), 1).astype(np.int64)
    owner = np.repeat(rows, counts - 1)
    first = np.cumsum(counts - 1) - (counts - 1)
    number = np.arange(len(owner)) - np.repeat(first, counts - 1) + 1
    return owner, number / np.repeat(counts, counts - 1)


def extremes(legs: Legs, axis: int, least: float) -> tuple[Ints, Floats]:
    """Give the arcs, and the share of each, where they turn back along ``axis`` (0 x, 1 y).

    Where an arc goes less than ``least`` mm beyond, or back, is left out.
    """
    rows = np.flatnonzero(legs.bulges)
    x, y = (legs.ends[rows] - legs.starts[rows]).T
    sweep = 4 * np.arctan(legs.bulges[rows])
    leaving = np.arctan2(y, x) - sweep / 2
    square = np.pi / 2 if axis == 0 else 0.0  # where an arc turns back it runs square to the axis
    turn = np.sign(sweep) * (square - leaving) % np.pi
    size = np.abs(sweep)
    radius = np.hypot(x, y) / (2 * np.sin(size / 2))
    shorter = np.minimum(turn, size - turn)
    counts = (shorter > _AT_END) & (radius * (1 - np.cos(shorter)) > least)
    return rows[counts], (turn / size)[counts]


def parted(legs: Legs, owner: Ints, share: Floats) -> Legs:
    """Part legs ``owner``, never falling, at ``share`` of their way, rising within one; (m,)."""
    if not len(owner):
        return legs
    total = len(legs)
    row = np.repeat(np.arange(total), np.bincount(owner, minlength=total) + 1)
    place = np.arange(len(owner)) + owner + 1
    low, high = np.zeros(len(row)), np.ones(len(row))
    low[place], high[place - 1] = share, share
    starts, ends = legs.starts[row], legs.ends[row]
    joints = _points_on(legs, owner, share)
    starts[place], ends[place - 1] = joints, joints
    first, last = legs.headings[row].T
    along = np.stack([first + (last - first) * low, first + (last - first) * high], axis=1)
    bulges = np.tan(np.arctan(legs.bulges[row]) * (high - low))
    return Legs(starts, ends, bulges, along, legs.owner[row])


def _points_on(legs: Legs, rows: Ints, share: Floats) -> Points:
    """Give the points at ``share`` of legs ``rows``, (m, 2)."""
    joints = np.stack([legs.starts[rows], legs.ends[rows]], axis=1).reshape(-1, 2)
    bulges = np.zeros(max(2 * len(rows) - 1, 0))
    bulges[::2] = legs.bulges[rows]
    strung = Chain(joints, bulges, np.full((len(bulges), 2, 2), np.nan), closed=False)
    return points_at(strung, 2 * np.arange(len(rows)), share)


def with_standing_legs(legs: Legs, where: Bools) -> tuple[Legs, Bools]:
    """Put a leg of no length before each where ``where`` says so, (n,); tell which are new."""
    if not where.any():
        return legs, np.zeros(len(legs), dtype=np.bool_)
    row = np.repeat(np.arange(len(legs)), 1 + where)
    new = np.zeros(len(row), dtype=np.bool_)
    new[np.flatnonzero(where) + np.arange(int(where.sum()))] = True
    ends, bulges, headings = legs.ends[row], legs.bulges[row], legs.headings[row]
    ends[new], bulges[new] = legs.starts[row[new]], 0.0
    headings[new, 1] = headings[new, 0]
    return Legs(legs.starts[row], ends, bulges, headings, legs.owner[row]), new
