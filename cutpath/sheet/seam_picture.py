"""The picture of one seam: both edges mark by mark, where they differ, and what to recheck."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutpath.geometry.chain import Chain
from cutpath.seam_report import SeamReport, Verdict, WalkFinding
from cutpath.sheet.difference_strip import draw_difference_strip
from cutpath.sheet.laid_flat import draw_laid_flat, writes_level
from cutpath.sheet.page import EDGE, HAIR, HEAVY, Letters, Page
from cutpath.sheet.seam_scale import SeamScale, edge_words
from cutpath.sheet.shape_band import draw_shapes, laid_together
from cutpath.sheet.words import shortened, signed, text_width, wrapped

_WIDTH, _HEIGHT, _MARGIN = 297.0, 210.0, 10.0
"""A4 landscape (ISO 216)."""
_COLUMN = 30.0
_HEAD = 25.0
_TITLE = 5.0
_LINE = 3.9
_VERDICTS = {
    Verdict.FITS: ("FITS", "both edges and all marks agree within their limits"),
    Verdict.LOOK: ("LOOK", "it can be sewn, yet something is odd: read below"),
    Verdict.OUT: ("OUT", "it does not fit: recheck before cloth is cut"),
}


@dataclass(frozen=True, slots=True)
class _Band:
    """One band of the picture: its heading, least and most height, and what draws it.

    ``draw`` takes the height on paper at which to begin, and how far down to go.
    """

    heading: str
    least: float
    most: float
    draw: Callable[[float, float], object]


def draw_seam(
    report: SeamReport,
    edges: tuple[Chain, Chain],
    findings: Sequence[WalkFinding] = (),
    job: str = "",
) -> str:
    """Give the picture of one seam as SVG text for an A4 page, the same for the same input.

    ``edges`` are the chains of the first and the second edge as they run in their panels;
    ``findings`` are those of this seam, in the order in which they are told.
    """
    title = f"Seam {report.seam.letter}: {_names(report)}"
    page = Page(_WIDTH, _HEIGHT, title)
    _head(page, report, title, job)
    scale = SeamScale.fitted(report, _MARGIN + _COLUMN, _WIDTH - _MARGIN - _COLUMN)
    y = _MARGIN + _HEAD
    notes: list[str] = []
    bands = _bands(page, report, edges, scale, notes)
    for band, height in zip(bands, _heights(bands, _needed(findings)), strict=True):
        page.layer("headings")
        page.line((_MARGIN, y), (_WIDTH - _MARGIN, y), HAIR)
        page.words(band.heading, (_MARGIN, y + 3.6), Letters(2.6, bold=True))
        band.draw(y + _TITLE, height - _TITLE)
        y += height
    _recheck(page, findings, notes, y)
    return page.text()


def _names(report: SeamReport) -> str:
    return f"{edge_words(report.seam.first)} to {edge_words(report.seam.second)}"


def _bands(
    page: Page,
    report: SeamReport,
    edges: tuple[Chain, Chain],
    scale: SeamScale,
    notes: list[str],
) -> list[_Band]:
    """Give the bands from top to bottom; their heights leave the rest of the page to findings."""
    second = edge_words(report.seam.second)
    limit = f"{report.seam.mark_tolerance:.1f} mm"
    ease = f", ease of {report.seam.ease:.1f} mm taken off" if report.seam.ease else ""
    is_level = writes_level(report, scale)
    laid = laid_together(*edges, reverse=report.seam.reverse)
    return [
        _Band(
            f"Stretched flat, sewn from left to right. Differences {scale.words}{ease}.",
            68.0 if is_level else 78.0,
            74.0 if is_level else 96.0,
            lambda top, height: notes.extend(draw_laid_flat(page, report, scale, top, height)),
        ),
        _Band(
            f"From mark to mark: how much longer {shortened(second, 90.0, 2.6)} is. "
            f"Dotted: the limit of ±{limit}; black: out of it.",
            32.0,
            36.0,
            lambda top, height: notes.extend(
                draw_difference_strip(page, report, scale, top, height)
            ),
        ),
        _Band(
            "Shapes, one laid on the other as well as they go.",
            31.0,
            64.0,
            lambda top, height: draw_shapes(page, report, laid, top, height),
        ),
    ]


def _heights(bands: Sequence[_Band], below: float) -> list[float]:
    """Give each band its height: what the findings ``below`` leave goes to the first."""
    spare = _HEIGHT - 2 * _MARGIN - _HEAD - below - sum(band.least for band in bands)
    heights = []
    for band in bands:
        more = min(band.most - band.least, max(spare, 0.0))
        heights.append(band.least + more)
        spare -= more
    return heights


def _needed(findings: Sequence[WalkFinding]) -> float:
    """Give the height that the findings, and a line of notes, would like to have."""
    lines = sum(len(_lines(place, finding)) for place, finding in enumerate(findings))
    return 6.0 + max(_LINE * lines, _LINE) + 0.8 * len(findings) + 3.6


def _head(page: Page, report: SeamReport, title: str, job: str) -> None:
    page.layer("head")
    radius = 7.5
    middle = (_MARGIN + radius + 0.6, _MARGIN + radius + 0.6)
    is_out = report.verdict is Verdict.OUT
    page.ring(middle, radius, HEAVY if is_out else EDGE)
    letter = shortened(report.seam.letter, 12.5, 4.0)
    size = min(8.0, 8.0 * 12.0 / text_width(letter, 8.0, bold=True))
    page.centred_words(letter, middle, Letters(size, bold=True))
    left = _MARGIN + 2 * radius + 5.0
    job_width = min(70.0, text_width(job, 3.0))
    room = _WIDTH - _MARGIN - left
    page.words(
        shortened(title, room - job_width - 4.0, 5.6, bold=True),
        (left, _MARGIN + 6.2),
        Letters(5.6, bold=True),
    )
    page.words(
        shortened(job, 70.0, 3.0), (_WIDTH - _MARGIN, _MARGIN + 6.2), Letters(3.0, anchor="end")
    )
    word, words = _VERDICTS[report.verdict]
    _verdict(page, word, words, (left, _MARGIN + 13.6), is_out=is_out)
    page.words(_numbers(report), (left, _MARGIN + 20.0), Letters(3.0))


def _verdict(page: Page, word: str, words: str, at: tuple[float, float], *, is_out: bool) -> None:
    x, y = at
    width = text_width(word, 4.2, bold=True) + 3.0
    middle = (x + width / 2, y - 1.5)
    if is_out:
        page.flag(word, middle, 4.2)
    else:
        page.box((x, y - 4.4), (width, 5.7), EDGE)
        page.centred_words(word, middle, Letters(4.2, bold=True))
    page.words(words, (x + width + 2.5, y), Letters(4.0))


def _numbers(report: SeamReport) -> str:
    marks = len(report.marks)
    parts = [
        f"{report.first_length:.1f} mm against {report.second_length:.1f} mm",
        f"difference {signed(report.difference)} mm of ±{report.length_limit:.1f} allowed",
        f"ease wanted {report.seam.ease:.1f} mm" if report.seam.ease else "no ease",
        f"{marks} mark{'' if marks == 1 else 's'} on both",
    ]
    alone = len(report.first_lone) + len(report.second_lone)
    if alone:
        parts.append(f"{alone} on one side only")
    return "  ·  ".join(parts)


def _recheck(page: Page, findings: Sequence[WalkFinding], notes: Sequence[str], top: float) -> None:
    page.layer("findings")
    bottom = _HEIGHT - _MARGIN
    page.line((_MARGIN, top), (_WIDTH - _MARGIN, top), HAIR)
    y = top + 4.6
    if notes:
        words = f"Left out for want of room: {', '.join(notes)}."
        page.words(words, (_MARGIN, bottom), Letters(2.3))
        bottom -= 3.6
    if not findings:
        page.words("Nothing to recheck.", (_MARGIN, y), Letters(3.0))
    for place, finding in enumerate(findings):
        lines = _lines(place + 1, finding)
        is_last = place + 1 == len(findings)
        if y + _LINE * (len(lines) - (1 if is_last else 0)) > bottom:
            rest = len(findings) - place
            page.words(f"… and {rest} more: see `cutpath check`.", (_MARGIN, y), Letters(3.0))
            return
        for number, (text, is_bold) in enumerate(lines):
            indent = 0.0 if number == 0 else 5.0
            page.words(text, (_MARGIN + indent, y), Letters(3.0, bold=is_bold))
            y += _LINE
        y += 0.8


def _lines(place: int, finding: WalkFinding) -> list[tuple[str, bool]]:
    room = _WIDTH - 2 * _MARGIN - 5.0
    head = f"{place}. {finding.verdict.value.upper()}, {finding.place}: {finding.message}."
    lines = [(text, True) for text in wrapped(head, room, 3.0, bold=True)]
    return lines + [(text, False) for text in wrapped(finding.recheck, room, 3.0)]
