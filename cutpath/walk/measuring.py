"""The numbers of two edges laid together: marks, intervals, steps, kinks and shape."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.alignment import best_motion, gaps_after
from cutpath.geometry.points import Floats
from cutpath.model import EdgeName
from cutpath.seam_report import Interval, LoneMark, MarkPair, SeamEnd, Shape
from cutpath.walk.pairing import Pairing, paired
from cutpath.walk.sides import Side


@dataclass(frozen=True, slots=True)
class Measured:
    """Paired marks, the intervals between them, and marks left alone on each side."""

    marks: tuple[MarkPair, ...]
    intervals: tuple[Interval, ...]
    first_lone: tuple[LoneMark, ...]
    second_lone: tuple[LoneMark, ...]

    @property
    def worst(self) -> float:
        """Give the largest difference of an interval, mm."""
        return max(abs(interval.difference) for interval in self.intervals)


def measured(first: Side, second: Side, ease: float, pairing: Pairing | None = None) -> Measured:
    """Lay two sides start to start and compare them from mark to mark; ``ease`` is spread evenly.

    Marks are paired by name, else by order, unless a ``pairing`` is given.
    """
    if pairing is None:
        pairing = paired(first.marks, second.marks, (first.length, second.length))
    share = ease / first.length
    marks = tuple(_mark_pair(first.marks[i], second.marks[j], share) for i, j in pairing.pairs)
    own = {i for i, _ in pairing.pairs}
    theirs = {j for _, j in pairing.pairs}
    return Measured(
        marks,
        _intervals(first.length, second.length, marks, share),
        tuple(mark for i, mark in enumerate(first.marks) if i not in own),
        tuple(mark for j, mark in enumerate(second.marks) if j not in theirs),
    )


def _mark_pair(first: LoneMark, second: LoneMark, share: float) -> MarkPair:
    difference = second.station - first.station * (1 + share)
    return MarkPair(first.name, second.name, first.station, second.station, difference)


def _intervals(
    first: float, second: float, marks: Sequence[MarkPair], share: float
) -> tuple[Interval, ...]:
    here = np.diff([0.0, *(mark.first for mark in marks), first])
    there = np.diff([0.0, *(mark.second for mark in marks), second])
    return tuple(
        Interval(index - 1, index, float(one), float(other), float(other - one * (1 + share)))
        for index, (one, other) in enumerate(zip(here, there, strict=True))
    )


def seam_ends(
    first: Side, second: Side, intervals: Sequence[Interval], sewn: Collection[EdgeName]
) -> tuple[SeamEnd, SeamEnd]:
    """Give step and kink at both ends; a neighbour that is itself sewn does not run on."""
    # Without marks the starts are laid together, and the whole difference stands out at the end.
    steps = (0.0 if len(intervals) == 1 else -intervals[0].difference, intervals[-1].difference)
    kinks = kinks_of(first, second)
    ends = [
        SeamEnd(
            steps[end],
            kinks[end],
            first.neighbours[end] not in sewn and second.neighbours[end] not in sewn,
        )
        for end in (0, 1)
    ]
    return ends[0], ends[1]


def kinks_of(first: Side, second: Side) -> tuple[float, float]:
    """Give |180° − θ1 − θ2| at both ends, radians."""
    start, end = (abs(math.pi - first.angles[k] - second.angles[k]) for k in (0, 1))
    return start, end


def shape_between(first: Side, second: Side, *, mirrored: bool) -> Shape:
    """Bring the second edge onto the first by the best rigid motion; tell the largest gap."""
    gaps = shape_gaps(first, second, mirrored=mirrored)
    worst = int(gaps.argmax())
    return Shape(float(gaps[worst]), first.length * worst / (len(gaps) - 1))


def shape_gaps(first: Side, second: Side, *, mirrored: bool) -> Floats:
    """Give the gaps left at evenly spaced places, mm."""
    motion = best_motion(second.points, first.points, mirrored=mirrored)
    return gaps_after(second.points, first.points, motion)
