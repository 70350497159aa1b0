"""The list of a job's seams, in columns at the foot of the seam sheet."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.seam_report import SeamReport, Verdict
from cutpath.sheet.page import HAIR, Letters, Page
from cutpath.sheet.panel_layout import Area
from cutpath.sheet.seam_letters import draw_ring, draw_word
from cutpath.sheet.seam_scale import edge_words
from cutpath.sheet.words import shortened, signed, text_width

_COLUMN = 130.0
_COLUMNS = (("first, mm", 58.0), ("second", 43.0), ("length off", 27.0), ("marks off", 12.0))
"""Headings, and how far from a column's right end they end, mm."""
_ROW = 5.0
_HEAD = 5.0
_PLAIN = Letters(2.5)
_RIGHT = Letters(2.5, anchor="end")
_SAID = Letters(2.3, colour="#444444", anchor="end")


def list_height(count: int, width: float) -> float:
    """Give the height that ``count`` seams need in columns over ``width`` mm."""
    return _HEAD + _ROW * _rows(count, width)


def _columns(width: float) -> int:
    return max(1, int(width // _COLUMN))


def _rows(count: int, width: float) -> int:
    return -(-count // _columns(width))


def draw_list(page: Page, reports: Sequence[SeamReport], area: Area) -> None:
    """Write a line for each seam: letter, edges, lengths, differences, verdict."""
    columns, rows = _columns(area.width), _rows(len(reports), area.width)
    wide = area.width / columns
    for column in range(columns):
        own = reports[column * rows : (column + 1) * rows]
        if own:
            _heads(page, area.left + column * wide, area.top + 3.0, wide)
        for row, report in enumerate(own):
            y = area.top + _HEAD + _ROW * (row + 0.5)
            _line(page, report, area.left + column * wide, y, wide)


def _heads(page: Page, x: float, y: float, wide: float) -> None:
    right = x + wide - 4.0
    page.words("seam", (x, y), Letters(2.3, colour="#444444"))
    for text, back in _COLUMNS:
        page.words(text, (right - back, y), _SAID)
    page.line((x, y + 1.2), (right, y + 1.2), HAIR)


def _line(page: Page, report: SeamReport, x: float, y: float, wide: float) -> None:
    right, base = x + wide - 4.0, y + 0.9
    draw_ring(page, report.seam.letter, (x + 2.6, y), 2.1, is_out=report.verdict is Verdict.OUT)
    numbers = (
        f"{report.first_length:.1f}",
        f"{report.second_length:.1f}",
        signed(report.difference),
        _worst(report),
    )
    room = right - _COLUMNS[0][1] - 13.0 - (x + 7.0) - text_width(" to ", _PLAIN.size)
    first, second = _fitted(report, room)
    page.words(f"{first} to {second}", (x + 7.0, base), _PLAIN)
    for text, (_, back) in zip(numbers, _COLUMNS, strict=True):
        page.words(text, (right - back, base), _RIGHT)
    if report.verdict is Verdict.FITS:
        page.words("fits", (right - 1.0, base), _RIGHT)
    else:
        draw_word(page, report.verdict, (right - 4.5, y))


def _fitted(report: SeamReport, room: float) -> tuple[str, str]:
    """Give both edges' names so that they fit in ``room`` together; a short one gives its rest."""
    names = [edge_words(edge) for edge in (report.seam.first, report.seam.second)]
    first, second = (text_width(name, _PLAIN.size) for name in names)
    half = room / 2
    rooms = (max(half, room - second), max(half, room - first))
    one, other = (
        shortened(name, wide, _PLAIN.size) for name, wide in zip(names, rooms, strict=True)
    )
    return one, other


def _worst(report: SeamReport) -> str:
    """Give the difference of the worst stretch from mark to mark; nothing without marks."""
    if not report.marks:
        return ""
    return signed(max((each.difference for each in report.intervals), key=abs))
