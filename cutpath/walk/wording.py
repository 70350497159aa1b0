"""The sentences of a finding."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.model import EdgeName
from cutpath.seam_report import Cause, SeamReport, Symptom
from cutpath.units import format_length

_MESSAGES = {
    Cause.WRONG_SIDE_UP: "{first} and {second} agree only with one turned over: {panels} lies "
    "wrong side up",
    Cause.BACKWARDS: "{first} and {second} agree only the other way round: {what} from the "
    "wrong end",
    Cause.NAMES_SWAPPED: "the marks of {first} and {second} agree in order but not by name",
    Cause.SCALE: "{scaled} is {factor} times its partner, evenly{words}",
    Cause.CORNER_MOVED: "{longer} is {size} longer at its corner alone: a corner was moved",
    Cause.STRETCH_OFF: "{longer} is {size} longer here alone: the sheet slipped, or a fold was "
    "missed",
    Cause.EVENLY_LONGER: "{longer} is {size} longer, spread evenly: it was stretched or its "
    "drawing scaled",
    Cause.MARK_MISREAD: "the mark lies {size} further along {longer} while its neighbours agree: "
    "it was misread",
    Cause.MARK_LONE: "{owner} has a mark here that {lacking} lacks: it is extra, or missing there",
    Cause.KINK: "the hem line turns by {degrees} where it crosses the seam",
    Cause.SHAPE: "{first} and {second} part by {size} in shape when laid together",
    Cause.UNCLEAR: "{longer} is {size} longer; without marks nothing tells where",
}
_RECHECKS = {
    Cause.WRONG_SIDE_UP: "Look which face of {edges} was up when it was traced; turn it over.",
    Cause.BACKWARDS: "Look at which end of {edges} the marks begin; if both are right, the seam's "
    "direction is said wrong.",
    Cause.NAMES_SWAPPED: "Read the names of the marks on {edges} again, from the same end.",
    Cause.SCALE: "Measure one known length on {edges}; say the drawing's unit or scale.",
    Cause.EVENLY_LONGER: "Measure the whole seam on the frame: {lengths}? Or say the ease, if it "
    "is wanted.",
    Cause.UNCLEAR: "Measure the whole seam on the frame: {lengths}? Marks would tell where.",
    Cause.KINK: "Hold the hem line on past the seam on the frame; redraw the ends of {edges}.",
    Cause.SHAPE: "Lay both edges on the frame there; look which of them is not fair.",
    Cause.MARK_LONE: "Look for the mark on the frame; add it to {lacking} or take it away.",
    Cause.CORNER_MOVED: "Check that corner of {edges}. Measure {interval}.",
    Cause.STRETCH_OFF: "Measure {interval}.",
    Cause.MARK_MISREAD: "Measure {interval}.",
}


def place_of(report: SeamReport, symptom: Symptom) -> str:
    """Name the place: a mark, an end, the marks on both sides of it, or the whole seam."""
    last = len(report.marks)
    if symptom.cause is Cause.SHAPE:
        return f"{format_length(symptom.station)} along"
    if symptom.cause is Cause.MARK_LONE:
        side, _, name = symptom.detail.partition(":")
        called = f"mark {name}" if name else "mark"
        edge = report.seam.first if side == "first" else report.seam.second
        return f"{called}, {format_length(symptom.station)} along {edge}"
    if symptom.cause is Cause.CORNER_MOVED:
        return _post(report, -1 if symptom.begin < 0 else last)
    if (symptom.begin, symptom.end) == (-1, last):
        return "the whole seam"
    if symptom.begin == symptom.end:
        return _post(report, symptom.begin)
    return f"between {_post(report, symptom.begin)} and {_post(report, symptom.end)}"


def message_of(report: SeamReport, symptom: Symptom, blamed: Sequence[EdgeName]) -> str:
    """Say what the numbers show and what most likely lies behind it."""
    return _MESSAGES[symptom.cause].format(**_words(report, symptom, blamed))


def recheck_of(report: SeamReport, symptom: Symptom, blamed: Sequence[EdgeName]) -> str:
    """Say what to measure or look at again, with the numbers that decide it."""
    return _RECHECKS[symptom.cause].format(**_words(report, symptom, blamed))


def _words(report: SeamReport, symptom: Symptom, blamed: Sequence[EdgeName]) -> dict[str, str]:
    first, second = report.seam.first, report.seam.second
    on_second = symptom.detail.startswith("second:")
    owner, lacking = (second, first) if on_second else (first, second)
    marks_only = symptom.detail == "marks"
    return {
        "first": str(first),
        "second": str(second),
        "panels": " or ".join(edge.panel for edge in blamed),
        "edges": " or ".join(str(edge) for edge in blamed),
        "what": "the marks of one are counted" if marks_only else "one edge is walked",
        "scaled": str(blamed[0] if len(blamed) == 1 else second),
        "factor": f"{symptom.size:.4g}",
        "words": f" ({symptom.detail}?)" if symptom.detail else "",
        "size": f"{abs(symptom.size):.1f} mm",
        "degrees": f"{math.degrees(symptom.size):.1f}°",
        "longer": str(second if symptom.size > 0 else first),
        "owner": str(owner),
        "lacking": str(lacking),
        "lengths": f"{report.first_length:.1f} or {report.second_length:.1f} mm",
        "interval": _interval(report, symptom),
    }


def _post(report: SeamReport, index: int) -> str:
    """Name a mark of the report, or an end of the seam by the edges that meet there."""
    if index < 0:
        return f"the start, where {report.neighbours[0][0]} meets {report.neighbours[0][1]}"
    if index >= len(report.marks):
        return f"the end, where {report.neighbours[1][0]} meets {report.neighbours[1][1]}"
    mark = report.marks[index]
    if mark.name:
        return f"mark {mark.name}"
    return f"mark {index + 1} ({format_length(mark.first)} along)"


def _interval(report: SeamReport, symptom: Symptom) -> str:
    """Name the interval that decides, with what both edges say it is."""
    low = symptom.begin - 1 if symptom.begin == symptom.end else symptom.begin
    interval = report.intervals[min(low + 1, len(report.intervals) - 1)]
    return (
        f"on the frame from {_post(report, interval.begin)} to {_post(report, interval.end)}: "
        f"{report.seam.first} says {interval.first:.1f} mm, "
        f"{report.seam.second} says {interval.second:.1f} mm"
    )
