"""The band of a seam's picture that shows, from mark to mark, how much longer one edge is."""

from __future__ import annotations

from dataclasses import dataclass

from cutpath.seam_report import SeamReport
from cutpath.sheet.label_row import apart
from cutpath.sheet.page import BLACK, DOTTED, FINE, Letters, Page, Pen, flag_width
from cutpath.sheet.seam_scale import SeamScale, is_long, is_out
from cutpath.sheet.svg_lines import number
from cutpath.sheet.words import signed, text_width

_LETTERS = Letters(2.3)
_BAR = Pen(0.25)
_INSIDE = "#d9d9d9"
_MOST_LIMITS = 4.0
"""Bars of more limits than this are cut short, or the limits themselves could not be seen."""
_HEADROOM = 4.6
_LINE = 3.0
_WHOLE_WIDTH = 8.0


@dataclass(frozen=True, slots=True)
class _Bar:
    """A bar between two places on paper; ``value`` and ``limit`` in mm of cloth."""

    left: float
    right: float
    value: float
    limit: float
    is_out: bool

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2

    @property
    def share(self) -> float:
        """Give the value in limits."""
        return self.value / max(self.limit, 1e-9)


@dataclass(frozen=True, slots=True)
class _Axis:
    """The zero line's height on paper and how high one limit stands."""

    zero: float
    limit: float

    def height(self, share: float) -> float:
        return self.zero - self.limit * max(-_MOST_LIMITS, min(share, _MOST_LIMITS))


def draw_difference_strip(
    page: Page, report: SeamReport, scale: SeamScale, top: float, height: float
) -> tuple[str, ...]:
    """Draw a bar from mark to mark and one for the whole edge, each against its own limit.

    One limit stands equally high on both, so that whatever leaves the strip is out.
    """
    bars = _bars(report, scale)
    tallest = min(max(1.0, *(abs(bar.share) for bar in bars)), _MOST_LIMITS)
    axis = _Axis(top + height / 2, (height / 2 - _HEADROOM) / tallest)
    whole = bars[-1]
    page.layer("strip")
    for left, right in ((bars[0].left, bars[-2].right), (whole.left, whole.right)):
        _strip(page, axis, left, right)
    page.layer("bars")
    for bar in bars:
        _draw_bar(page, axis, bar)
    page.layer("bar-words")
    _axis_words(page, axis, bars)
    left_out = _values(page, axis, bars[:-1]) + _values(page, axis, bars[-1:])
    return (f"{left_out} numbers of stretches",) if left_out else ()


def _bars(report: SeamReport, scale: SeamScale) -> list[_Bar]:
    stations = [0.0, *(mark.first for mark in report.marks), report.first_length]
    limit = report.seam.mark_tolerance
    bars = []
    for index, interval in enumerate(report.intervals):
        left, right = (scale.first(stations[index + step]) for step in (0, 1))
        bars.append(_Bar(left, right, interval.difference, limit, is_out(report, interval)))
    far = max(scale.first(stations[-1]), scale.second(stations[-1], report.difference)) + 7.0
    whole = _Bar(far, far + _WHOLE_WIDTH, report.difference, report.length_limit, is_long(report))
    return [*bars, whole]


def _strip(page: Page, axis: _Axis, left: float, right: float) -> None:
    page.line((left, axis.zero), (right, axis.zero), FINE)
    for share in (-1.0, 1.0):
        y = axis.height(share)
        page.line((left, y), (right, y), DOTTED)


def _draw_bar(page: Page, axis: _Axis, bar: _Bar) -> None:
    y = axis.height(bar.share)
    top, size = min(y, axis.zero), abs(y - axis.zero)
    if bar.right - bar.left < 0.05:
        return
    # A white rim keeps black neighbours apart.
    pen, fill = (Pen(0.3, colour="white"), BLACK) if bar.is_out else (_BAR, _INSIDE)
    page.box((bar.left, top), (bar.right - bar.left, size), pen, fill)
    if abs(bar.share) > _MOST_LIMITS:
        _tear(page, bar, y)


def _tear(page: Page, bar: _Bar, y: float) -> None:
    """Draw two white slanting strokes across a bar that was cut short."""
    towards = 1.0 if bar.value > 0 else -1.0
    for step in (1.6, 2.8):
        near = y + towards * step
        data = f"M{number(bar.left - 0.5)} {number(near + 0.6)}L{number(bar.right + 0.5)} "
        page.path(data + number(near - 0.6), Pen(0.6, colour="white"))


def _axis_words(page: Page, axis: _Axis, bars: list[_Bar]) -> None:
    right = bars[0].left - 2.5
    limit = bars[0].limit
    rows = [(axis.height(1.0), f"+{limit:.1f} mm"), (axis.zero, "0")]
    rows.append((axis.height(-1.0), f"−{limit:.1f} mm"))
    if axis.limit < _LINE:
        rows = [(axis.zero - _LINE / 2, "limit"), (axis.zero + _LINE / 2, f"±{limit:.1f} mm")]
    for y, text in rows:
        page.words(text, (right, y + 0.8), Letters(_LETTERS.size, anchor="end"))
    whole = bars[-1]
    for step, text in ((-1, "whole"), (0, "edge"), (1, f"±{whole.limit:.1f}")):
        page.words(text, (whole.right + 1.2, axis.zero + _LINE * step + 0.8), _LETTERS)


def _values(page: Page, axis: _Axis, bars: list[_Bar]) -> int:
    """Write each bar's number beyond it; what is out gets the word too and comes first."""
    texts = [f"OUT {signed(bar.value)}" if bar.is_out else signed(bar.value) for bar in bars]
    sizes = [
        flag_width(text, 2.3) if bar.is_out else text_width(text, _LETTERS.size)
        for text, bar in zip(texts, bars, strict=True)
    ]
    places = [bar.middle for bar in bars]
    weights = [10 + abs(bar.value) if bar.is_out else abs(bar.value) for bar in bars]
    widths = [size + 0.8 for size in sizes]
    kept = apart(places, widths, weights)
    for index in kept:
        bar, text = bars[index], texts[index]
        away = 1.0 if signed(bar.value).startswith("−") else -1.0
        # A narrow strip is kept clear, so that its limits are seen.
        beyond = 1.0 if axis.limit < 2 * _LINE else 0.0
        at = (bar.middle, axis.height(-away * max(abs(bar.share), beyond)) + away * 2.2)
        if bar.is_out:
            page.flag(text, at, 2.3)
        else:
            page.backed_words(text, at, _LETTERS)
    return len(bars) - len(kept)
