"""One sheet of the whole job: what is sewn to what, lettered alike on both panels."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from cutpath.geometry.transform import transformed
from cutpath.model import EdgeName, Panel, Seam
from cutpath.seam_report import SeamReport, Verdict
from cutpath.sheet.page import FINE, HAIR, Letters, Page
from cutpath.sheet.panel_drawing import (
    FREE,
    INNER,
    SEWN,
    TICK,
    draw_lines,
    draw_mark_names,
    draw_name,
    draw_ticks,
    mark_labels,
)
from cutpath.sheet.panel_layout import Area, Layout, lay_out
from cutpath.sheet.seam_letters import SeamEdge, draw_letters, draw_ring, draw_word
from cutpath.sheet.seam_list import draw_list, list_height
from cutpath.sheet.svg_lines import number
from cutpath.sheet.taken import Taken
from cutpath.sheet.words import shortened, text_width

_PAPERS = (("A3", 420.0, 297.0), ("A2", 594.0, 420.0), ("A1", 841.0, 594.0), ("A0", 1189.0, 841.0))
"""Landscape (ISO 216)."""
_MARGIN = 10.0
_HEAD = 20.0
_LEAST_CELL = 32.0
_PER_RING = 5.0
"""How much side a panel's cell needs, mm, for each seam on it."""
_LIST_SHARE = 0.45


def draw_seam_sheet(
    panels: Sequence[Panel], seams: Sequence[Seam], reports: Sequence[SeamReport], title: str
) -> str:
    """Give the sheet as SVG text, the same for the same input.

    A3 landscape, or the next size that has room for all panels and the list of seams; beyond A0
    the sheet grows longer, as on a roll.
    """
    sides = _sides(seams, reports)
    paper, width, height = _paper(panels, sides, len(reports))
    page = Page(width, height, f"{title}: seams")
    listed = list_height(len(reports), width - 2 * _MARGIN)
    room = Area(
        _MARGIN,
        _MARGIN + _HEAD,
        width - 2 * _MARGIN,
        height - 2 * _MARGIN - _HEAD - listed - 4.0,
    )
    layout = lay_out(panels, room)
    left_out = _draw_panels(page, layout, sides, room)
    _draw_head(page, layout, reports, (title, paper, left_out))
    page.layer("list")
    area = Area(_MARGIN, height - _MARGIN - listed, width - 2 * _MARGIN, listed)
    page.line((_MARGIN, area.top - 2.0), (width - _MARGIN, area.top - 2.0), HAIR)
    draw_list(page, reports, area)
    return page.text()


def _sides(seams: Sequence[Seam], reports: Sequence[SeamReport]) -> dict[str, list[SeamEdge]]:
    """Give the seams on each panel by its name."""
    verdicts = {report.seam.letter: report.verdict for report in reports}
    shares = Counter(edge for seam in seams for edge in (seam.first, seam.second))
    seen: Counter[EdgeName] = Counter()
    sides: dict[str, list[SeamEdge]] = {}
    for seam in seams:
        for edge, backwards in ((seam.first, False), (seam.second, seam.reverse)):
            verdict = verdicts.get(seam.letter, Verdict.FITS)
            side = SeamEdge(seam.letter, edge.edge, backwards, verdict, seen[edge], shares[edge])
            seen[edge] += 1
            sides.setdefault(edge.panel, []).append(side)
    return sides


def _paper(
    panels: Sequence[Panel], sides: Mapping[str, Sequence[SeamEdge]], seams: int
) -> tuple[str, float, float]:
    """Choose the smallest sheet with room for a cell for each panel, and for the list."""
    cells = sum(
        max(_LEAST_CELL, _PER_RING * len(sides.get(panel.name, ())) + 16.0) ** 2 for panel in panels
    )
    for name, width, height in _PAPERS:
        listed = list_height(seams, width - 2 * _MARGIN)
        room = (width - 2 * _MARGIN) * (height - 2 * _MARGIN - _HEAD - listed)
        if listed <= _LIST_SHARE * height and room >= cells:
            return name, width, height
    _, width, height = _PAPERS[-1]
    listed = list_height(seams, width - 2 * _MARGIN)
    needed = cells / (width - 2 * _MARGIN) + listed + 2 * _MARGIN + _HEAD + 10.0
    return "roll", width, max(height, 10.0 * round(needed / 10.0 + 0.5))


def _draw_panels(
    page: Page, layout: Layout, sides: Mapping[str, Sequence[SeamEdge]], room: Area
) -> int:
    """Draw all panels, then letters, names and marks; give how many marks stay unnamed."""
    right, bottom = room.left + room.width, room.top + room.height
    taken = Taken((room.left - 4.0, room.top - 4.0, right + 4.0, bottom + 1.0))
    outlines = [transformed(laid.outline, laid.matrix) for laid in layout.laid]
    page.layer("panels")
    for laid in layout.laid:
        draw_lines(page, laid, {side.edge for side in sides.get(laid.panel.name, ())})
    page.layer("marks")
    labels = [mark_labels(laid) for laid in layout.laid]
    for own in labels:
        draw_ticks(page, own)
    wished = Taken((0.0, 0.0, page.width, page.height))
    wished.take([label.boxes[0] for own in labels for label in own if label.boxes])
    page.layer("letters")
    for laid, outline in zip(layout.laid, outlines, strict=True):
        draw_letters(page, laid, outline, sides.get(laid.panel.name, ()), (taken, wished))
    page.layer("names")
    for laid, outline in zip(layout.laid, outlines, strict=True):
        draw_name(page, laid, outline, taken)
    page.layer("mark-names")
    pairs = zip(labels, outlines, strict=True)
    return sum(draw_mark_names(page, own, outline, taken) for own, outline in pairs)


def _draw_head(
    page: Page, layout: Layout, reports: Sequence[SeamReport], words: tuple[str, str, int]
) -> None:
    title, paper, left_out = words
    page.layer("head")
    y = _MARGIN + 6.0
    right = page.width - _MARGIN
    page.words(
        shortened(f"{title}: what is sewn to what", right - 140.0, 6.0, bold=True),
        (_MARGIN, y),
        Letters(6.0, bold=True),
    )
    out = sum(report.verdict is Verdict.OUT for report in reports)
    seams = f"{len(reports)} seam{'' if len(reports) == 1 else 's'}"
    verdict = f"{out} of {seams} out: don't cut yet" if out else f"{seams}: all fit"
    page.words(verdict, (right, y), Letters(4.2, bold=True, anchor="end"))
    where = "panels as drawn" if layout.is_as_drawn else "panels in rows, turned as drawn"
    notes = [f"{paper}, {_scale_words(layout.scale)}", where]
    if left_out:
        notes.append(f"{left_out} names of marks left out for want of room")
    page.words("; ".join(notes), (right, y + 5.6), Letters(2.6, anchor="end"))
    _draw_keys(page, y + 11.0)


def _scale_words(scale: float) -> str:
    """Give the scale as people write it: 1 : 12."""
    return f"{scale:.4g} : 1" if scale >= 1 else f"1 : {1 / scale:.4g}"


def _draw_keys(page: Page, y: float) -> None:
    """Say what the lines and signs mean."""
    x = _MARGIN
    middle = y - 0.9
    for pen, words in (
        (SEWN, "sewn edge"),
        (FREE, "free edge"),
        (INNER, "cut or drawn inside"),
    ):
        page.line((x, middle), (x + 11.0, middle), pen)
        x = _key_words(page, words, x + 12.5, y)
    page.line((x, middle), (x + 11.0, middle), SEWN)
    page.line((x + 5.5, middle), (x + 5.5, middle + TICK), FINE)
    x = _key_words(page, "reference mark", x + 12.5, y)
    draw_ring(page, "A", (x + 2.6, middle), 2.2, is_out=False)
    page.path(f"M{number(x + 4.8)} {number(middle)}h4l-1.4 -0.6v1.2l1.4 -0.6", FINE)
    x = _key_words(page, "seam: like letters are sewn together, the arrows side by side", x + 10, y)
    draw_ring(page, "A", (x + 2.6, middle), 2.2, is_out=True)
    draw_word(page, Verdict.OUT, (x + 9.0, middle))
    x = _key_words(page, "does not fit", x + 13.5, y)
    draw_word(page, Verdict.LOOK, (x + 3.5, middle))
    _key_words(page, "fits, yet something is odd", x + 9.0, y)


def _key_words(page: Page, words: str, x: float, y: float) -> float:
    page.words(words, (x, y), Letters(2.6))
    return x + text_width(words, 2.6) + 5.0
