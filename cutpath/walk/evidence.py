"""What speaks for two edges being sewn together, and what against: lengths, marks, ends, shape.

Each piece of evidence is weighed in nats, the logarithm of how much likelier it is between two
edges of one seam than between two that have nothing to do with one another (I. J. Good, Probability
and the Weighing of Evidence, 1950). The rates behind the weights are our own, no source: they
are set so that what was found by coincidence in ordinary drawings stays below what one mark more
would tell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.points import Floats
from cutpath.seam_report import LoneMark
from cutpath.walk.measuring import kinks_of, shape_gaps
from cutpath.walk.pairing import paired
from cutpath.walk.sides import Side

MARK_REACH = 1.5
"""Marks this close count as agreeing, mm: the usual tolerance of a walked seam."""
_LENGTH_SPREAD = (0.75, 0.001)
"""Standard deviation of a seam's difference: half its usual tolerance, mm and share of length."""
_SLIPS = 0.005
"""The share of seams that were traced amiss or are eased, by about a hundredth."""
_LENGTH_MOST, _LENGTH_LEAST = 5.0, -4.0
_MARK_FIRST, _MARK_NEXT = 2.5, 0.8
"""What the first agreeing mark tells, and the share of it that each further one adds."""
_MIDDLE_MARK = 1.0
"""A mark in the middle is where anybody would put one."""
_MARK_OFF, _MARK_ALONE, _MARKS_LEAST = -2.0, -1.5, -8.0
_ONE_UNMARKED = -2.5
_BOTH_UNMARKED, _BOTH_LEAST = -8.0, -4.0
"""For two edges without marks, times the share of edges that have some: who marks, marks seams."""
_RUNS_ON = math.radians(1.5)
_END_KNOWN, _END_ODD = 0.4, -0.4
_CURVED = 0.02
"""An edge whose samples stray by this share of its length has a shape to speak of."""
_SAME_SHAPE = 1.5


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reason with its weight in nats; ``words`` empty where it is not worth telling."""

    weight: float
    words: str = ""


NOTHING = Evidence(0.0)


def length_weight(one: float, others: Floats) -> Floats:
    """Weigh ``one`` length against (n,) others, mm: within the spread, eased, or by a slip."""
    usual, share = _LENGTH_SPREAD
    mean = (one + others) / 2
    spread = np.maximum(usual, share * mean)
    off = np.abs(others - one)
    close = 0.9 * np.exp(-((off / spread) ** 2) / 2) / (spread * math.sqrt(2 * math.pi))
    eased = _SLIPS * np.exp(-off / (0.01 * mean)) / (0.02 * mean)
    # Two edges that have nothing to do with one another differ by anything up to their length.
    with np.errstate(divide="ignore"):
        weight = np.log((close + eased) * mean)
    return np.clip(weight, _LENGTH_LEAST, _LENGTH_MOST)


def length_evidence(one: Side, other: Side) -> Evidence:
    """Weigh how well two lengths agree."""
    weight = float(length_weight(one.length, np.array([other.length]))[0])
    off = abs(other.length - one.length)
    words = f"lengths agree within {max(off, 0.05):.1f} mm"
    return Evidence(weight, words if weight > 0 else f"lengths differ by {off:.1f} mm")


def marks_evidence(one: Side, other: Side, *, marked_share: float) -> Evidence:
    """Weigh how well the marks of two sides agree, laid start to start.

    ``marked_share`` of the drawing's edges have marks, 0 to 1.
    """
    if not one.marks and not other.marks:
        weight = max(_BOTH_UNMARKED * marked_share, _BOTH_LEAST)
        return Evidence(weight, "neither has marks" if marked_share else "")
    if not one.marks or not other.marks:
        return Evidence(_ONE_UNMARKED, "only one of them has marks")
    pairs = paired(one.marks, other.marks, (one.length, other.length)).pairs
    off = [_apart(one, one.marks[i], other, other.marks[j]) for i, j in pairs]
    good = [gap for gap in off if gap <= MARK_REACH]
    alone = len(one.marks) + len(other.marks) - 2 * len(pairs)
    worst = _MARK_OFF * (len(off) - len(good)) + _MARK_ALONE * alone
    weight = agreeing_weight(len(good))
    if len(good) == 1 and _is_middle(one, pairs[off.index(good[0])][0]):
        weight = _MIDDLE_MARK
    return Evidence(weight + max(worst, _MARKS_LEAST), _mark_words(good, len(off), alone))


def agreeing_weight(count: int) -> float:
    """Give the weight of ``count`` marks that agree; each further one tells less."""
    return _MARK_FIRST * (1 - _MARK_NEXT**count) / (1 - _MARK_NEXT)


def _apart(one: Side, mark: LoneMark, other: Side, its: LoneMark) -> float:
    # From the nearer end: a corner traced badly must not spoil the marks beyond.
    from_end = (other.length - its.station) - (one.length - mark.station)
    return min(abs(its.station - mark.station), abs(from_end))


def _is_middle(side: Side, row: int) -> bool:
    return abs(side.marks[row].station - side.length / 2) <= 2 * MARK_REACH


def _mark_words(good: list[float], paired_count: int, alone: int) -> str:
    said = []
    if good:
        count = "a mark agrees" if len(good) == 1 else f"{len(good)} marks agree"
        said.append(f"{count} within {max(*good, 0.05):.1f} mm")
    bad = paired_count - len(good) + alone
    if bad:
        said.append(f"{bad} {'mark does' if bad == 1 else 'marks do'} not")
    return ", ".join(said)


def ends_evidence(one: Side, other: Side) -> Evidence:
    """Weigh whether the outline would run on across both ends.

    It counts for little: square corners always do, and a corner where a third panel joins need not.
    """
    runs_on = [kink <= _RUNS_ON for kink in kinks_of(one, other)]
    weight = sum(_END_KNOWN if on else _END_ODD for on in runs_on)
    place = "both ends" if all(runs_on) else "one end"
    return Evidence(weight, f"the outline runs on at {place}" if any(runs_on) else "")


def shape_evidence(one: Side, other: Side, *, mirrored: bool) -> Evidence:
    """Weigh whether two edges, both curved, have one shape.

    Curves that differ tell nothing: that is what gives a cover its form.
    """
    gap = float(shape_gaps(one, other, mirrored=mirrored).max())
    if gap > 0.1 * min(_bend(one), _bend(other)):
        return NOTHING
    return Evidence(_SAME_SHAPE, "both are bent alike")


def is_curved(side: Side) -> bool:
    """Tell an edge that has a shape to speak of: straight ones are all alike."""
    return _bend(side) >= _CURVED * side.length


def _bend(side: Side) -> float:
    """Give how far the samples stray from the line through both ends, mm."""
    run = side.points[-1] - side.points[0]
    away = side.points - side.points[0]
    span = float(np.hypot(*run))
    if span < 1e-9:
        return float(np.hypot(*away.T).max())
    return float(np.abs(away[:, 0] * run[1] - away[:, 1] * run[0]).max()) / span
