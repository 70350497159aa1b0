"""Findings for people: the place, the likely cause, and what to measure again on the boat."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.model import EdgeName
from cutpath.seam_report import Cause, SeamReport, Symptom, Verdict, WalkFinding
from cutpath.units import format_length
from cutpath.walk.suspects import Scaled, scaled_panels, shared_corner, suspects
from cutpath.walk.wording import message_of, place_of, recheck_of

_WHOLE_EDGE = {Cause.WRONG_SIDE_UP, Cause.BACKWARDS, Cause.SCALE}


def explain(reports: Sequence[SeamReport]) -> tuple[WalkFinding, ...]:
    """Say what is wrong with each seam that does not simply fit; what hurts most comes first.

    Faults of a whole edge or panel come first, as they stand behind all else there; then by how
    many times its limit a fault is; then what is merely odd. Ties keep the seams' order.
    """
    scaled = {panel.panel: panel for panel in scaled_panels(reports)}
    ranked = []
    for report in reports:
        symptoms = _without_echoes(report)
        for symptom in symptoms:
            rank = _rank(report, symptom)
            ranked.append((rank, _finding(report, symptom, reports, scaled)))
    ranked.sort(key=lambda pair: pair[0])
    return tuple(finding for _, finding in ranked)


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


def _finding(
    report: SeamReport,
    symptom: Symptom,
    reports: Sequence[SeamReport],
    scaled: dict[str, Scaled],
) -> WalkFinding:
    cause, detail, size = symptom.cause, symptom.detail, symptom.size
    blamed = suspects(report, symptom, reports)
    factor = _panel_scale(report, symptom, scaled)
    if factor is not None:
        edge, panel = factor
        cause, detail, size, blamed = Cause.SCALE, panel.words, panel.factor, (edge,)
    elif cause is Cause.SCALE and blamed == (report.seam.first,):
        size = 1 / size
    if cause is Cause.CORNER_MOVED:
        corner = shared_corner(report, symptom, reports)
        blamed = (corner,) if corner else blamed
    told = Symptom(cause, size, symptom.begin, symptom.end, symptom.station, detail)
    begin, end = _stretch(report, symptom)
    odd = cause is Cause.MARK_LONE or report.verdict is not Verdict.OUT
    return WalkFinding(
        report.seam.letter,
        Verdict.LOOK if odd else Verdict.OUT,
        cause,
        place_of(report, told),
        begin,
        end,
        size,
        message_of(report, told, blamed),
        recheck_of(report, told, blamed),
        blamed,
    )


def _panel_scale(
    report: SeamReport, symptom: Symptom, scaled: dict[str, Scaled]
) -> tuple[EdgeName, Scaled] | None:
    """Give the one panel of this seam that is off by a factor on all its seams."""
    if symptom.cause not in {Cause.SCALE, Cause.EVENLY_LONGER, Cause.UNCLEAR}:
        return None
    edges = [edge for edge in (report.seam.first, report.seam.second) if edge.panel in scaled]
    return (edges[0], scaled[edges[0].panel]) if len(edges) == 1 else None


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
