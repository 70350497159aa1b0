"""Chains laid out for fitting: spans between corners, tangents at their joints, dense samples.

A span is a run of segments without a corner. Its joints are the starts of its segments and its last
end, so that a corner belongs to two spans, with the tangent of each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, opened
from cutpath.geometry.flatten import points_at
from cutpath.geometry.points import Bools, Floats, Ints, Points

_CORNER = np.radians(30.0)
"""A turn above this, between two segments, is a corner: it stays where it is."""
_BLOCK = 512
"""Longer spans are broken here, so that all of them can be worked through abreast."""
_LONGER = 4.0
"""A line so many times as long as its neighbour is a side, not a chord of a curve."""
_SAMPLES = 4
_SAMPLE_SWEEP = np.radians(4.0)


@dataclass(frozen=True, slots=True, eq=False)
class Spans:
    """All spans of all chains: arrays over j joints, s spans, n segments and m samples.

    ``points``, ``tangents`` (j, 2); ``stations`` (j,) mm from the span's start; ``free`` (j,) where
    no tangent has to be met; ``segment`` (j,) what begins there (the last joint: its own end);
    ``samples`` (m, 2), those of joint k from ``sample_first[k]`` on; ``first``, ``last`` (s,)
    joints; ``bulges`` (n,); ``chain_first`` the first segment of each chain.
    """

    points: Points
    tangents: Points
    stations: Floats
    free: Bools
    segment: Ints
    samples: Points
    sample_first: Ints
    first: Ints
    last: Ints
    bulges: Floats
    chain_first: Ints


def spans_of(chains: Sequence[Chain]) -> Spans:
    """Lay ``chains`` (lines and arcs) out."""
    counts = np.array([len(chain) for chain in chains])
    chain_first = np.concatenate([[0], np.cumsum(counts)[:-1]])
    starts = np.concatenate([chain.starts for chain in chains])
    ends = np.concatenate([chain.ends for chain in chains])
    bulges = np.concatenate([chain.bulges for chain in chains])
    closed = np.array([chain.closed for chain in chains], dtype=np.bool_)
    form = _Form(starts, ends, bulges)
    turns = form.turns(chain_first, counts, closed)
    total = len(bulges)
    is_corner = np.abs(turns) > _CORNER
    place = np.arange(total) - np.repeat(chain_first, counts)
    is_break = is_corner | (place % _BLOCK == 0)
    begins = np.flatnonzero(is_break)
    sizes = np.diff(np.append(begins, total))
    owner = np.repeat(np.arange(len(begins)), sizes)
    first = begins + np.arange(len(begins))
    last = first + sizes
    joint = np.arange(total) + owner  # of each segment's start
    points = np.empty((total + len(begins), 2))
    points[joint], points[last] = starts, ends[begins + sizes - 1]
    segment = np.empty(len(points), dtype=np.int64)
    segment[joint], segment[last] = np.arange(total), begins + sizes - 1
    angles, free = form.headings(turns, is_corner, (begins, sizes), chain_first, counts)
    stations = np.zeros(len(points))
    stations[joint + 1] = form.lengths
    stations = np.cumsum(stations)
    samples, sample_first = _sampled(chains, bulges, np.repeat(np.arange(len(chains)), counts))
    at_joint = np.empty(len(points), dtype=np.int64)
    at_joint[joint], at_joint[last] = sample_first[:-1], sample_first[begins + sizes]
    tangents = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return Spans(
        points, tangents, stations, free, segment, samples, at_joint, first, last, bulges,
        chain_first,
    )  # fmt: skip


class _Form:
    """Directions and lengths of segments."""

    def __init__(self, starts: Points, ends: Points, bulges: Floats) -> None:
        x, y = (ends - starts).T
        self.bulges = bulges
        self.course = np.arctan2(y, x)
        half = 2 * np.arctan(bulges)
        self.leave, self.arrive = self.course - half, self.course + half
        self.lengths = np.hypot(x, y)
        bent = bulges != 0
        self.lengths[bent] *= half[bent] / np.sin(half[bent])

    def turns(self, chain_first: Ints, counts: Ints, closed: Bools) -> Floats:
        """Give the turn into each segment from the one before; π where an open chain begins."""
        before = np.arange(len(self.leave)) - 1
        before[chain_first] = chain_first + counts - 1
        turns = self.leave - self.arrive[before]
        turns -= 2 * np.pi * np.rint(turns / (2 * np.pi))
        turns[chain_first[~closed]] = np.pi
        return np.asarray(turns)

    def headings(
        self, turns: Floats, is_corner: Bools, spans: tuple[Ints, Ints], chain_first: Ints,
        counts: Ints,
    ) -> tuple[Floats, Bools]:  # fmt: skip
        """Give the direction at every joint of every span, and where it is free."""
        begins, sizes = spans
        total = len(self.leave)
        before = np.arange(total) - 1
        before[chain_first] = chain_first + counts - 1
        l1, l2 = self.lengths[before], self.lengths
        # The circle through three joints; but a straight side keeps its own direction.
        share = l1 / np.maximum(l1 + l2, 1e-300)
        share = np.where((self.bulges[before] == 0) & (l1 > _LONGER * l2), 0.0, share)
        share = np.where((self.bulges == 0) & (l2 > _LONGER * l1), 1.0, share)
        inner = self.arrive[before] + turns * share
        owner = np.repeat(np.arange(len(begins)), sizes)
        joint = np.arange(total) + owner
        first, last = begins + np.arange(len(begins)), begins + sizes + np.arange(len(begins))
        angles, free = np.empty(total + len(begins)), np.zeros(total + len(begins), dtype=np.bool_)
        angles[joint] = inner
        following = begins + sizes
        follows = _next_segment(following, chain_first, counts)
        angles[last] = inner[follows]
        corner_first, corner_last = is_corner[begins], is_corner[follows]
        free[first], free[last] = corner_first, corner_last
        self._at_corners(angles, (begins, first, corner_first), 1)
        self._at_corners(angles, (following - 1, last, corner_last), -1)
        return angles, free

    def _at_corners(self, angles: Floats, ends: tuple[Ints, Ints, Bools], inward: int) -> None:
        """Set directions at corners: an arc's own, or a chord's mirror of the joint after it."""
        segments, joints, chosen = ends
        segments, joints = segments[chosen], joints[chosen]
        own = self.leave[segments] if inward > 0 else self.arrive[segments]
        mirrored = 2 * self.course[segments] - angles[joints + inward]
        off = mirrored - own
        off -= 2 * np.pi * np.rint(off / (2 * np.pi))
        usable = (self.bulges[segments] == 0) & (np.abs(off) <= _CORNER)
        angles[joints] = np.where(usable, own + off, own)


def _next_segment(following: Ints, chain_first: Ints, counts: Ints) -> Ints:
    """Give the segment after a span, going round at the end of its chain."""
    chain = np.searchsorted(chain_first, following - 1, side="right") - 1
    at_end = following == (chain_first + counts)[chain]
    return np.where(at_end, chain_first[chain], following)


def _sampled(chains: Sequence[Chain], bulges: Floats, chain_of: Ints) -> tuple[Points, Ints]:
    """Give samples along all segments, without their ends, and where each segment's begin."""
    sweeps = 4 * np.arctan(np.abs(bulges))
    counts = np.maximum(_SAMPLES, np.ceil(sweeps / _SAMPLE_SWEEP)).astype(np.int64)
    first = np.concatenate([[0], np.cumsum(counts)])
    owner = np.repeat(np.arange(len(bulges)), counts)
    share = (np.arange(first[-1]) - first[owner]) / counts[owner]
    # One chain of all, with a segment of no meaning from each to the next.
    runs = [opened(chain) for chain in chains]
    points = np.concatenate([run.points for run in runs])
    row = np.arange(len(bulges)) + chain_of
    whole = np.zeros(len(points) - 1)
    whole[row] = bulges
    strung = Chain(points, whole, np.full((len(whole), 2, 2), np.nan), closed=False)
    return points_at(strung, row[owner], share), first
