"""Which panel is at fault, as far as its other seams tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.model import EdgeName
from cutpath.seam_report import Cause, SeamReport, Symptom, Verdict
from cutpath.walk.along import known_scale

_WHOLE_PANEL = {Cause.WRONG_SIDE_UP, Cause.SCALE}
_SAME_RATIO = 0.0015


@dataclass(frozen=True, slots=True)
class Scaled:
    """A panel all of whose seams (two or more) are off by one factor, and what that stands for."""

    panel: str
    factor: float
    words: str
    seams: frozenset[str]


def edges_of(report: SeamReport) -> tuple[EdgeName, EdgeName]:
    """Give the seam's two edges."""
    return report.seam.first, report.seam.second


def suspects(
    report: SeamReport, symptom: Symptom, reports: Sequence[SeamReport]
) -> tuple[EdgeName, ...]:
    """Give the edges of which one is wrong: one alone where the other seams single it out.

    What ails a whole panel must show on all its seams: a panel with a sound seam is cleared.
    """
    edges = edges_of(report)
    if symptom.cause not in _WHOLE_PANEL:
        return edges
    left = tuple(
        edge for edge in edges if not _is_cleared(edge.panel, symptom.cause, report, reports)
    )
    if len(left) != 2:
        return left or edges
    counts = [_times_seen(edge.panel, symptom.cause, reports) for edge in left]
    if counts[0] == counts[1]:
        return left
    return (left[counts.index(max(counts))],)


def _is_cleared(
    panel: str, cause: Cause, report: SeamReport, reports: Sequence[SeamReport]
) -> bool:
    return any(
        not any(symptom.cause is cause for symptom in other.symptoms)
        and other.verdict is not Verdict.OUT
        for other in reports
        if other is not report and panel in _panels(other)
    )


def _times_seen(panel: str, cause: Cause, reports: Sequence[SeamReport]) -> int:
    return sum(
        any(symptom.cause is cause for symptom in report.symptoms)
        for report in reports
        if panel in _panels(report)
    )


def _panels(report: SeamReport) -> set[str]:
    return {edge.panel for edge in edges_of(report)}


def turned_panels(reports: Sequence[SeamReport]) -> frozenset[str]:
    """Find panels all of whose seams, with two partners at least, fit only the other way round.

    A symmetrical panel laid wrong side up shows in its marks alone, on all its seams alike.
    """
    seams: dict[str, list[bool]] = {}
    partners: dict[str, set[str]] = {}
    for report in reports:
        for panel in _panels(report):
            seams.setdefault(panel, []).append(_is_turned(report))
            partners.setdefault(panel, set()).update(_panels(report) - {panel})
    return frozenset(p for p, turned in seams.items() if all(turned) and len(partners[p]) >= 2)


def _is_turned(report: SeamReport) -> bool:
    return report.seam.reverse and any(
        symptom.cause is Cause.WRONG_SIDE_UP
        or (symptom.cause is Cause.BACKWARDS and symptom.detail == "edge")
        for symptom in report.symptoms
    )


def scaled_panels(reports: Sequence[SeamReport]) -> tuple[Scaled, ...]:
    """Find panels whose seams are all longer, or all shorter, by one factor, evenly.

    At least two seams with two different partners are needed, or nothing tells the panels apart.
    """
    ratios: dict[str, list[tuple[float, str, str]]] = {}
    for report in reports:
        ratio = report.second_length / (report.first_length + report.seam.ease)
        even = _is_even(report)
        first, second = (edge.panel for edge in edges_of(report))
        if first == second:
            continue
        ratios.setdefault(second, []).append((ratio if even else 0.0, first, report.seam.letter))
        own = 1 / ratio if even else 0.0
        ratios.setdefault(first, []).append((own, second, report.seam.letter))
    found = []
    for panel in sorted(ratios):
        factors = [factor for factor, _, _ in ratios[panel]]
        partners = {partner for _, partner, _ in ratios[panel]}
        agree = min(factors) > 0 and max(factors) / min(factors) - 1 <= _SAME_RATIO
        if len(partners) >= 2 and agree:
            factor = sum(factors) / len(factors)
            letters = frozenset(letter for _, _, letter in ratios[panel])
            found.append(Scaled(panel, factor, known_scale(factor), letters))
    return tuple(found)


def _is_even(report: SeamReport) -> bool:
    """Tell whether one factor accounts for a seam that is out; without marks nothing denies it."""
    if report.verdict is not Verdict.OUT:
        return False
    ratio = report.second_length / report.first_length
    off = max(abs(part.second - part.first * ratio) for part in report.intervals)
    return off <= report.seam.mark_tolerance * max(ratio, 1.0)


def shared_corner(
    report: SeamReport, symptom: Symptom, reports: Sequence[SeamReport]
) -> EdgeName | None:
    """Give the edge whose moved corner shows on a second seam of its panel as well, if any."""
    at = 0 if symptom.begin < 0 else 1
    mine = _corners(report, at)
    for other in reports:
        if other is report:
            continue
        for twin in other.symptoms:
            if twin.cause is not Cause.CORNER_MOVED:
                continue
            theirs = _corners(other, 0 if twin.begin < 0 else 1)
            for edge, corner in mine.items():
                if corner in theirs.values():
                    return edge
    return None


def _corners(report: SeamReport, at: int) -> dict[EdgeName, tuple[str, frozenset[str]]]:
    """Name each edge's corner at one end of a seam by the two edges of its panel that meet."""
    return {
        edge: (edge.panel, frozenset({edge.edge, neighbour.edge}))
        for edge, neighbour in zip(edges_of(report), report.neighbours[at], strict=True)
    }
