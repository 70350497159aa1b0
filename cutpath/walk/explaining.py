"""Findings for people: the place, the likely cause, and what to measure again on the boat."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutpath.model import EdgeName
from cutpath.seam_report import Cause, SeamReport, Symptom, Verdict, WalkFinding
from cutpath.units import format_length
from cutpath.walk.suspects import Scaled, scaled_panels, shared_corner, suspects, turned_panels
from cutpath.walk.wording import message_of, place_of, recheck_of

_MAY_BE_SCALE = {
    Cause.SCALE, Cause.EVENLY_LONGER, Cause.UNCLEAR, Cause.CORNER_MOVED, Cause.STRETCH_OFF,
}  # fmt: skip
"""What one seam's tracing tremor may make of a panel that is off by a factor on all its seams."""
_WHOLE_EDGE = {Cause.WRONG_SIDE_UP, Cause.BACKWARDS, Cause.SCALE}


def explain(reports: Sequence[SeamReport]) -> tuple[WalkFinding, ...]:
    """Say what is wrong with each seam that does not simply fit; what hurts most comes first.

    Faults of a whole edge or panel come first, as they stand behind all else there; then by how
    many times its limit a fault is; then what is merely odd. Ties keep the seams' order.
    """
    job = _Job(
        reports, {panel.panel: panel for panel in scaled_panels(reports)}, turned_panels(reports)
    )
    ranked = [
        (_rank(report, symptom), _finding(report, _seen_whole(report, symptom, job)))
        for report in reports
        for symptom in _without_echoes(report)
    ]
    ranked.sort(key=lambda pair: pair[0])
    return tuple(finding for _, finding in ranked)


@dataclass(frozen=True, slots=True)
class _Job:
    """All reports, and the panels that ail as a whole."""

    reports: Sequence[SeamReport]
    scaled: Mapping[str, Scaled]
    turned: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Seen:
    """A symptom in the light of the other seams, and the edges it may lie on."""

    symptom: Symptom
    blamed: tuple[EdgeName, ...]


def _without_echoes(report: SeamReport) -> list[Symptom]:
    """Drop what another fault of the same seam brings about: a kink at a corner that has moved."""
    causes = {symptom.cause for symptom in report.symptoms}
    if causes & _WHOLE_EDGE:
        return [symptom for symptom in report.symptoms if symptom.cause in _WHOLE_EDGE]
    moved = {
        symptom.begin < 0 for symptom in report.symptoms if symptom.cause is Cause.CORNER_MOVED
    }
    return [
        symptom
        for symptom in report.symptoms
        if symptom.cause is not Cause.KINK or (symptom.begin < 0) not in moved
    ]


def _rank(report: SeamReport, symptom: Symptom) -> tuple[int, float]:
    if symptom.cause in _WHOLE_EDGE:
        return (0, -abs(report.difference))
    if symptom.cause is Cause.MARK_LONE:
        return (2, 0.0)
    limit = report.seam.mark_tolerance
    if symptom.cause is Cause.KINK:
        limit = report.seam.kink_limit
    elif symptom.cause is Cause.SHAPE:
        limit = report.seam.shape_limit or limit
    return (1, -abs(symptom.size) / max(limit, 1e-9))


def _seen_whole(report: SeamReport, symptom: Symptom, job: _Job) -> _Seen:
    """Take what the panels' other seams tell into account."""
    edges = (report.seam.first, report.seam.second)
    may_scale = symptom.cause in _MAY_BE_SCALE
    scaled = [edge for edge in edges if edge.panel in job.scaled]
    if may_scale and len(scaled) == 1:
        panel = job.scaled[scaled[0].panel]
        whole = Symptom(Cause.SCALE, panel.factor, -1, len(report.marks), 0.0, panel.words)
        return _Seen(whole, (scaled[0],))
    may_be_turned = symptom.cause is Cause.WRONG_SIDE_UP or (
        symptom.cause is Cause.BACKWARDS and symptom.detail == "edge" and report.seam.reverse
    )
    turned = [edge for edge in edges if edge.panel in job.turned]
    if may_be_turned and len(turned) == 1:
        return _Seen(replace(symptom, cause=Cause.WRONG_SIDE_UP), (turned[0],))
    if symptom.cause is Cause.CORNER_MOVED:
        corner = shared_corner(report, symptom, job.reports)
        return _Seen(symptom, (corner,) if corner else edges)
    blamed = suspects(report, symptom, job.reports)
    if symptom.cause is Cause.SCALE and blamed == edges[:1]:
        symptom = replace(symptom, size=1 / symptom.size)
    return _Seen(symptom, blamed)


def _finding(report: SeamReport, seen: _Seen) -> WalkFinding:
    symptom, blamed = seen.symptom, seen.blamed
    begin, end = _stretch(report, symptom)
    odd = symptom.cause is Cause.MARK_LONE or report.verdict is not Verdict.OUT
    return WalkFinding(
        report.seam.letter,
        Verdict.LOOK if odd else Verdict.OUT,
        symptom.cause,
        place_of(report, symptom),
        begin,
        end,
        symptom.size,
        message_of(report, symptom, blamed),
        recheck_of(report, symptom, blamed),
        blamed,
    )


def _stretch(report: SeamReport, symptom: Symptom) -> tuple[float, float]:
    """Give the stations on the first edge between which the fault lies."""
    if symptom.begin == symptom.end:
        return symptom.station, symptom.station
    stations = [mark.first for mark in report.marks]
    begin = stations[symptom.begin] if symptom.begin >= 0 else 0.0
    end = stations[symptom.end] if symptom.end < len(stations) else report.first_length
    return begin, end


def summary(report: SeamReport) -> str:
    """Give one line on a seam: lengths, difference and verdict."""
    ease = f", ease {format_length(report.seam.ease)}" if report.seam.ease else ""
    kinks = ", ".join(f"{math.degrees(end.kink):.1f}°" for end in report.ends)
    return (
        f"{report.seam.letter}: {report.seam.first} {format_length(report.first_length)}, "
        f"{report.seam.second} {format_length(report.second_length)}, "
        f"difference {report.difference:+.1f} mm{ease}; kinks {kinks}; {report.verdict}"
    )
