"""Whether an edge is walked from the wrong end, or its panel lies wrong side up."""

from __future__ import annotations

import math

from cutpath.model import Seam
from cutpath.seam_report import Cause, Symptom
from cutpath.walk.measuring import Measured, kinks_of, measured, shape_gaps
from cutpath.walk.pairing import by_order, is_given
from cutpath.walk.sides import Side, turned_round

_CLEARLY = 3.0
"""How many times better the other way must fit before it is believed."""
_SMALL_SHARE = 0.03
"""A lone mark off by less of the edge than this is rather misread than counted from the end."""
_LEAST_ANGLE = math.radians(4.0)


def turned_symptom(first: Side, second: Side, seam: Seam, found: Measured) -> Symptom | None:
    """Recognise a seam whose numbers fit only the other way round; None when they don't.

    Marks, shape (with either face up, as two edges of a shaped seam may both bulge) and end angles
    are asked apart. Shape and angles against marks: the marks are counted from the wrong end. All
    the other way: on a seam said to run the unusual way the word is wrong, else a panel was laid
    wrong side up.
    """
    turned = turned_round(second)
    marks = _marks_say(first, turned, seam, found)
    lie = _shapes_say(first, second, turned, seam.mark_tolerance)
    if marks < 0 or (marks == 0 and lie <= 0):
        return None
    # Angles alone raise no alarm: where other seams meet the corner they need not run on.
    lie = lie or _verdict(max(kinks_of(first, second)), max(kinks_of(first, turned)), _LEAST_ANGLE)
    off = found.worst
    if marks > 0 and lie < 0:
        if len(found.marks) == 1 and off < _SMALL_SHARE * first.length:
            return None
        return _over_all(Cause.BACKWARDS, off, found, "marks")
    if lie == 0 and len(found.marks) == 1 and off < _SMALL_SHARE * first.length:
        return None
    if seam.reverse and lie > 0:
        return _over_all(Cause.WRONG_SIDE_UP, off, found)
    return _over_all(Cause.BACKWARDS, off, found, "edge")


def names_symptom(first: Side, second: Side, seam: Seam, found: Measured) -> Symptom | None:
    """Recognise marks that fit by order and not by name."""
    pairing = by_order(first.marks, second.marks, (first.length, second.length))
    other = measured(first, second, seam.ease, pairing)
    by_name = any(is_given(mark.first_name) for mark in found.marks)
    alone = len(other.first_lone) + len(other.second_lone)
    fewer = alone <= len(found.first_lone) + len(found.second_lone)
    if not by_name or not fewer or other.worst > seam.mark_tolerance:
        return None
    differ = any(mark.first_name != mark.second_name for mark in other.marks)
    return _over_all(Cause.NAMES_SWAPPED, found.worst, found) if differ else None


def _over_all(cause: Cause, size: float, found: Measured, detail: str = "") -> Symptom:
    return Symptom(cause, size, -1, len(found.marks), 0.0, detail)


def _marks_say(first: Side, turned: Side, seam: Seam, found: Measured) -> int:
    """Give 1 when the marks fit only the other way round, −1 when only as said, 0 for neither."""
    if not found.marks and not (found.first_lone and found.second_lone):
        return 0
    other = measured(first, turned, seam.ease)
    here, there = _unevenness(found), _unevenness(other)
    return _verdict(here, there, seam.mark_tolerance)


def _unevenness(found: Measured) -> float:
    """Give how far the intervals are from one common ratio, in mm of the whole.

    Marks left alone count as the mean interval, so that a pairing of few marks wins nothing.
    """
    whole = sum(interval.first for interval in found.intervals)
    total = sum(interval.difference for interval in found.intervals)
    off = [
        abs(interval.difference - total * interval.first / whole) for interval in found.intervals
    ]
    alone = min(len(found.first_lone), len(found.second_lone))
    return max(off) + alone * whole / (len(found.intervals) + alone)


def _shapes_say(first: Side, second: Side, turned: Side, tolerance: float) -> int:
    """Ask which way round the shapes fit, either face up; answers as ``_marks_say``."""
    as_said, other_way = (
        min(float(shape_gaps(first, side, mirrored=face).max()) for face in (False, True))
        for side in (second, turned)
    )
    return _verdict(as_said, other_way, 2 * tolerance)


def _verdict(as_said: float, other_way: float, least: float) -> int:
    if as_said > max(least, _CLEARLY * other_way):
        return 1
    return -1 if other_way > max(least, _CLEARLY * as_said) else 0
