"""The band of a seam's picture in which both edges lie stretched flat, mark by mark."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutpath.model import EdgeName
from cutpath.seam_report import Cause, SeamReport
from cutpath.sheet.label_row import apart
from cutpath.sheet.mark_labels import (
    LEADER,
    LYING_HEIGHT,
    UPRIGHT_LENGTH,
    MarkLabel,
    Row,
    draw_mark_labels,
    lies_flat,
)
from cutpath.sheet.page import (
    DASHED,
    EDGE,
    FINE,
    HAIR,
    HEAVY,
    Letters,
    Page,
    Pen,
    arrow_head,
    flag_width,
)
from cutpath.sheet.seam_scale import SeamScale, edge_words, is_long, is_out
from cutpath.sheet.words import shortened, signed, text_width

_SMALL = Letters(2.4)
_COLUMN = 26.0
"""Room beside the edges for what is said of the ends, mm."""
_STUB = 9.0
_OUT_JOIN = Pen(0.7)
_FLAG = 2.3


@dataclass(frozen=True, slots=True)
class Levels:
    """The height on paper of both edges and of their dimension lines."""

    first_size: float
    first: float
    second: float
    second_size: float

    @property
    def middle(self) -> float:
        """Give the height half way between the edges."""
        return (self.first + self.second) / 2


def draw_laid_flat(
    page: Page, report: SeamReport, scale: SeamScale, top: float, height: float
) -> tuple[str, ...]:
    """Draw the band from ``top`` down; give words for what found no room."""
    above, below = _labels(report, scale)
    low, high = scale.first(0.0), _far_end(report, scale)
    flat = writes_level(report, scale)
    margin = 4.0 + (LYING_HEIGHT if flat else UPRIGHT_LENGTH) + LEADER
    levels = Levels(top + 2.0, top + margin, top + height - margin, top + height - 2.0)
    page.layer("joins")
    _joins(page, report, scale, levels)
    page.layer("edges")
    _edges(page, report, scale, levels)
    page.layer("marks")
    unnamed = draw_mark_labels(page, above, Row(levels.first, -1, low, high), flat=flat)
    unnamed += draw_mark_labels(page, below, Row(levels.second, 1, low, high), flat=flat)
    page.layer("differences")
    unsized = _differences(page, report, scale, levels)
    page.layer("sizes")
    _sizes(page, report, scale, levels)
    page.layer("ends")
    _start_column(page, report, scale, levels)
    _end_column(page, report, scale, levels)
    left_out = ((unnamed, "names of marks"), (unsized, "differences between the edges"))
    return tuple(f"{count} {what}" for count, what in left_out if count)


def writes_level(report: SeamReport, scale: SeamScale) -> bool:
    """Tell whether the marks' labels have room to be written level; upright ones take more."""
    row = Row(0.0, 1, scale.first(0.0), _far_end(report, scale))
    return all(lies_flat(labels, row) for labels in _labels(report, scale))


def _far_end(report: SeamReport, scale: SeamScale) -> float:
    length = report.first_length
    return max(scale.first(length), scale.second(length, report.difference))


def _labels(report: SeamReport, scale: SeamScale) -> tuple[list[MarkLabel], list[MarkLabel]]:
    above, below = [], []
    for index, mark in enumerate(report.marks):
        is_near_fault = is_out(report, report.intervals[index]) or is_out(
            report, report.intervals[index + 1]
        )
        weight = 1.0 if is_near_fault else 0.0
        first, second = mark.first_name, mark.second_name
        above.append(MarkLabel(scale.first(mark.first), first, f"{mark.first:.1f}", weight))
        at = scale.second(mark.first, mark.difference)
        below.append(MarkLabel(at, second, f"{mark.second:.1f}", weight))
    for lone in report.first_lone:
        at = scale.first(lone.station)
        above.append(MarkLabel(at, lone.name, f"{lone.station:.1f}", 0.5, is_alone=True))
    for lone in report.second_lone:
        at = scale.second_alone(report, lone.station)
        below.append(MarkLabel(at, lone.name, f"{lone.station:.1f}", 0.5, is_alone=True))
    return above, below


def _posts(report: SeamReport, scale: SeamScale) -> list[tuple[float, float]]:
    """Give the places on paper, on both edges, of start, marks and end."""
    posts = [(0.0, 0.0)]
    posts += [(mark.first, mark.difference) for mark in report.marks]
    posts.append((report.first_length, report.difference))
    return [(scale.first(at), scale.second(at, off)) for at, off in posts]


def _joins(page: Page, report: SeamReport, scale: SeamScale, levels: Levels) -> None:
    posts = _posts(report, scale)
    for index, (here, there) in enumerate(posts):
        is_end = index in {0, len(posts) - 1}
        around = report.intervals[max(index - 1, 0) : index + 1]
        is_off = not is_end and all(is_out(report, interval) for interval in around)
        is_off = is_off or (index == len(posts) - 1 and is_long(report))
        pen = _OUT_JOIN if is_off else DASHED if is_end else FINE
        page.line((here, levels.first), (there, levels.second), pen)


def _edges(page: Page, report: SeamReport, scale: SeamScale, levels: Levels) -> None:
    posts = _posts(report, scale)
    for side, y in ((0, levels.first), (1, levels.second)):
        page.line((posts[0][side], y), (posts[-1][side], y), EDGE)
        for index, interval in enumerate(report.intervals):
            if is_out(report, interval):
                page.line((posts[index][side], y), (posts[index + 1][side], y), HEAVY)
        for share in (0.04, 0.96):
            x = posts[0][side] + share * (posts[-1][side] - posts[0][side])
            page.filled(arrow_head((x + 1.8, y), (1.0, 0.0), 3.6))


def _differences(page: Page, report: SeamReport, scale: SeamScale, levels: Levels) -> int:
    """Write each mark's difference on its line, and a flag where an interval is out."""
    posts = _posts(report, scale)
    places = [(here + there) / 2 for here, there in posts[1:-1]]
    texts = [signed(mark.difference) for mark in report.marks]
    weights = [abs(mark.difference) for mark in report.marks]
    turned = 0.0
    widths = [text_width(text, _SMALL.size) + 1.2 for text in texts]
    if len(apart(places, widths, weights)) < len(places):
        turned, widths = -90.0, [_SMALL.size * 1.25] * len(texts)
    kept = apart(places, widths, weights)
    y = levels.first + 0.62 * (levels.second - levels.first)
    for index in kept:
        here, there = posts[index + 1]
        at = (here + 0.62 * (there - here), y)
        page.backed_words(texts[index], at, Letters(_SMALL.size, turned=turned))
    return len(places) - len(kept) + _flags(page, report, posts, levels)


def _flags(page: Page, report: SeamReport, posts: list[tuple[float, float]], levels: Levels) -> int:
    share = 0.24
    out = [
        (index, f"OUT {signed(interval.difference)}")
        for index, interval in enumerate(report.intervals)
        if is_out(report, interval)
    ]
    across = [here + share * (there - here) for here, there in posts]
    places = [(across[index] + across[index + 1]) / 2 for index, _ in out]
    widths = [flag_width(text, _FLAG) + 0.8 for _, text in out]
    kept = apart(places, widths, [abs(report.intervals[index].difference) for index, _ in out])
    y = levels.first + share * (levels.second - levels.first)
    for index in kept:
        page.flag(out[index][1], (places[index], y), _FLAG)
    return len(out) - len(kept)


def _sizes(page: Page, report: SeamReport, scale: SeamScale, levels: Levels) -> None:
    posts = _posts(report, scale)
    seam = report.seam
    rows = (
        (0, levels.first_size, levels.first, seam.first, report.first_length),
        (1, levels.second_size, levels.second, seam.second, report.second_length),
    )
    for side, y, edge_y, name, length in rows:
        start, end = posts[0][side], posts[-1][side]
        beyond = y + math.copysign(1.2, y - edge_y)
        for x in (start, end):
            page.line((x, edge_y + math.copysign(1.0, y - edge_y)), (x, beyond), HAIR)
        page.line((start, y), (end, y), FINE)
        page.filled(arrow_head((start, y), (-1.0, 0.0), 2.4))
        page.filled(arrow_head((end, y), (1.0, 0.0), 2.4))
        size = f"{length:.1f} mm"
        room = end - start - text_width(f"  {size}", 3.2, bold=True) - 8.0
        words = f"{shortened(edge_words(name), max(room, 20.0), 3.2, bold=True)}  {size}"
        half = text_width(words, 3.2, bold=True) / 2
        middle = min(max((start + end) / 2, half + 10.0), page.width - half - 10.0)
        page.backed_words(words, (middle, y), Letters(3.2, bold=True))


def _start_column(page: Page, report: SeamReport, scale: SeamScale, levels: Levels) -> None:
    x = scale.first(0.0)
    _neighbours(page, report.neighbours[0], (x, x), (x - 2.5, "end"), levels)
    lines = ["start", *_hem_words(report, 0)]
    y = levels.middle - 1.6 * (len(lines) - 1)
    for place, text in enumerate(lines):
        page.words(text, (x - 2.5, y + 3.4 * place), Letters(2.4, anchor="end"))
    if _kinks(report, 0):
        page.flag("OUT", (x - 6.5, y + 3.4 * len(lines)), _FLAG)


def _end_column(page: Page, report: SeamReport, scale: SeamScale, levels: Levels) -> None:
    length = report.first_length
    ends = (scale.first(length), scale.second(length, report.difference))
    x = max(ends) + 2.5
    _neighbours(page, report.neighbours[1], ends, (x, "start"), levels)
    lines = ["end", f"{signed(report.difference)} mm", f"limit ±{report.length_limit:.1f}"]
    lines += _hem_words(report, 1)
    y = levels.middle - 1.6 * (len(lines) - 1)
    for place, text in enumerate(lines):
        page.words(text, (x, y + 3.4 * place), Letters(2.4, bold=place == 1))
    if is_long(report) or _kinks(report, 1):
        page.flag("OUT", (x + 3.5, y + 3.4 * len(lines)), _FLAG)


def _kinks(report: SeamReport, end: int) -> bool:
    place = -1 if end == 0 else len(report.marks)
    return any(
        symptom.cause is Cause.KINK and symptom.begin == place for symptom in report.symptoms
    )


def _hem_words(report: SeamReport, end: int) -> list[str]:
    """Say how the hem line crosses the seam, where it runs on."""
    found = report.ends[end]
    if not found.runs_on:
        return []
    return [
        f"hem turns {math.degrees(found.kink):.1f}°",
        f"limit {math.degrees(report.seam.kink_limit):.1f}°",
    ]


def _neighbours(
    page: Page,
    names: tuple[EdgeName, EdgeName],
    ends: tuple[float, float],
    column: tuple[float, str],
    levels: Levels,
) -> None:
    """Draw where the neighbouring edges turn off, and name them."""
    x, anchor = column
    for name, end, y, outwards in zip(
        names, ends, (levels.first, levels.second), (-1, 1), strict=True
    ):
        page.line((end, y), (end, y + outwards * _STUB), EDGE)
        lines = [edge_words(name)]
        if text_width(lines[0], _SMALL.size) > _COLUMN:
            lines = [
                shortened(f"{name.panel}/", _COLUMN, _SMALL.size),
                shortened(name.edge, _COLUMN, _SMALL.size),
            ]
        base = y - 2.0 - 3.0 * (len(lines) - 1) if outwards < 0 else y + 4.0
        for place, text in enumerate(lines):
            page.words(text, (x, base + 3.0 * place), Letters(_SMALL.size, anchor=anchor))
