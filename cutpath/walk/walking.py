"""Walking seams: two edges laid together, measured, and their faults recognised."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence

import numpy as np

from cutpath.errors import InputError
from cutpath.model import EdgeName, Panel, Seam
from cutpath.seam_report import Cause, SeamEnd, SeamReport, Shape, Symptom, Verdict
from cutpath.walk.along import Run, explained_along
from cutpath.walk.direction import names_symptom, turned_symptom
from cutpath.walk.measuring import Measured, measured, seam_ends, shape_between
from cutpath.walk.sides import Side, part_of_side, side_of, turned_round

_ROUNDING = 1e-7
_OUTLINE_CORNER = math.radians(30.0)
"""A larger kink is a corner that the finished outline is meant to have: told, not flagged."""


def walk(panels: Mapping[str, Panel], seams: Sequence[Seam]) -> tuple[SeamReport, ...]:
    """Walk every seam, in the order given.

    Raises InputError for a seam that names a panel or an edge that is not there.
    """
    sewn = frozenset(name for seam in seams for name in (seam.first, seam.second))
    sides: dict[EdgeName, Side] = {}
    for name in sorted(sewn, key=str):
        if name.panel not in panels:
            raise InputError(
                f"there is no panel '{name.panel}'",
                remedy=f"The panels are: {', '.join(sorted(panels))}.",
            )
        sides[name] = side_of(panels[name.panel], name)
    return tuple(
        _walked(
            _first_side(panels[seam.first.panel], seam) if seam.span else sides[seam.first],
            sides[seam.second],
            seam,
            sewn,
        )
        for seam in seams
    )


def walk_seam(
    first: Panel, second: Panel, seam: Seam, sewn: Collection[EdgeName] = frozenset()
) -> SeamReport:
    """Walk one seam on the net line; ``sewn`` are the edges of other seams, where no hem runs on.

    Raises InputError when a panel lacks its edge, or the edge has no length.
    """
    return _walked(_first_side(first, seam), side_of(second, seam.second), seam, sewn)


def _first_side(panel: Panel, seam: Seam) -> Side:
    return part_of_side(panel, seam.first, seam.span) if seam.span else side_of(panel, seam.first)


def _walked(one: Side, other: Side, seam: Seam, sewn: Collection[EdgeName]) -> SeamReport:
    if seam.first == seam.second:
        raise InputError(f"seam {seam.letter} joins {seam.first} to itself")
    if one.length + seam.ease <= 0:
        raise InputError(f"seam {seam.letter}: the ease takes away more than the whole edge")
    if seam.reverse:
        other = turned_round(other)
    found = measured(one, other, seam.ease)
    ends = seam_ends(one, other, found.intervals, sewn)
    shape = shape_between(one, other, mirrored=not seam.reverse)
    difference = other.length - one.length - seam.ease
    is_long = abs(difference) > _length_limit(seam, one) + _ROUNDING
    is_off = is_long or found.worst > seam.mark_tolerance + _ROUNDING
    symptoms = (
        *_fault_symptoms(one, other, seam, found, is_off=is_off),
        *_end_symptoms(seam, ends, one.length, len(found.marks)),
        *_shape_symptoms(seam, shape, len(found.marks)),
        *_lone_symptoms(found),
    )
    certain = {Cause.KINK, Cause.SHAPE}
    is_out = is_off or any(symptom.cause in certain for symptom in symptoms)
    verdict = Verdict.OUT if is_out else Verdict.LOOK if symptoms else Verdict.FITS
    return SeamReport(
        seam, one.length, other.length, difference, found.marks, found.intervals,
        found.first_lone, found.second_lone, ends,
        ((one.neighbours[0], other.neighbours[0]), (one.neighbours[1], other.neighbours[1])),
        shape, symptoms, verdict,
    )  # fmt: skip


def _length_limit(seam: Seam, one: Side) -> float:
    least, share = seam.length_tolerance
    return max(least, share * one.length)


def _fault_symptoms(
    one: Side, other: Side, seam: Seam, found: Measured, *, is_off: bool
) -> tuple[Symptom, ...]:
    swapped = names_symptom(one, other, seam, found) if is_off else None
    turned = turned_symptom(one, other, seam, found)
    if swapped is not None and turned is not None:
        # Names count for more than order, where they fit the other way round.
        other_way = measured(one, turned_round(other), seam.ease)
        swapped = swapped if other_way.worst > seam.mark_tolerance else None
    known = swapped or turned
    if known is not None:
        return (known,)
    if not is_off:
        return ()
    stations = np.array([0.0, *(mark.first for mark in found.marks), one.length])
    total = other.length - one.length - seam.ease
    run = Run(
        stations,
        np.array([0.0, *(mark.difference for mark in found.marks), total]),
        one.length + seam.ease,
        other.length,
    )
    return explained_along(run, seam.mark_tolerance, _length_limit(seam, one))


def _end_symptoms(
    seam: Seam, ends: tuple[SeamEnd, SeamEnd], whole: float, count: int
) -> list[Symptom]:
    return [
        Symptom(Cause.KINK, end.kink, *place)
        for end, place in zip(ends, ((-1, -1, 0.0), (count, count, whole)), strict=True)
        if end.runs_on and seam.kink_limit < end.kink <= _OUTLINE_CORNER
    ]


def _shape_symptoms(seam: Seam, shape: Shape, count: int) -> list[Symptom]:
    if seam.shape_limit is None or shape.gap <= seam.shape_limit + _ROUNDING:
        return []
    return [Symptom(Cause.SHAPE, shape.gap, -1, count, shape.station)]


def _lone_symptoms(found: Measured) -> list[Symptom]:
    """Tell marks left alone, unless one side carries none at all (it was never marked)."""
    if not found.marks and not (found.first_lone and found.second_lone):
        return []
    out = []
    for lone, key in ((found.first_lone, "first"), (found.second_lone, "second")):
        for mark in lone:
            stations = [pair.first if key == "first" else pair.second for pair in found.marks]
            after = sum(station < mark.station for station in stations)
            named = f"{key}:{mark.name}"
            out.append(Symptom(Cause.MARK_LONE, 0.0, after - 1, after, mark.station, named))
    return out
