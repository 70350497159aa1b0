"""One sheet of the whole job: what is sewn to what, lettered alike on both panels."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import bounds
from cutpath.geometry.transform import transformed
from cutpath.model import EdgeName, Panel, Seam
from cutpath.seam_report import SeamReport, Verdict
from cutpath.sheet.page import FINE, HAIR, Letters, Page
from cutpath.sheet.panel_drawing import (
    FREE,
    INNER,
    SEWN,
    TICK,
    MarkLabel,
    draw_lines,
    draw_mark_names,
    draw_name,
    draw_ticks,
    mark_labels,
)
from cutpath.sheet.panel_layout import Area, Layout, lay_out
from cutpath.sheet.seam_letters import (
    Ground,
    SeamEdge,
    Spot,
    draw_letter,
    draw_ring,
    draw_word,
    placed_letters,
)
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
_LIST_SHARE = 0.36


def draw_seam_sheet(
    panels: Sequence[Panel], seams: Sequence[Seam], reports: Sequence[SeamReport], title: str
) -> str:
    """Give the sheet as SVG text, the same for the same input.

    A3 landscape, or the next size that has room for all panels and the list of seams; beyond A0
    the sheet grows longer, as on a roll.
    """
    sides = _sides(seams, reports)
    plan = _planned(panels, sides, len(reports))
    page = Page(plan.width, plan.height, f"{title}: seams")
    left_out = _draw_panels(page, plan, sides)
    _draw_head(page, plan, reports, (title, left_out))
    page.layer("list")
    area = plan.list_area
    page.line((area.left, area.top - 2.0), (area.left + area.width, area.top - 2.0), HAIR)
    draw_list(page, reports, area)
    return page.text()


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """The paper, where the panels lie on it, and where their letters go."""

    paper: str
    width: float
    height: float
    list_area: Area
    layout: Layout
    outlines: tuple[Chain, ...]
    labels: tuple[list[MarkLabel], ...]
    ground: Ground
    spots: tuple[Spot, ...]


def _planned(panels: Sequence[Panel], sides: Mapping[str, Sequence[SeamEdge]], seams: int) -> _Plan:
    """Choose the smallest paper on which every letter has a readable place of its own.

    On each, the places of the drawing are tried first.
    """
    for paper in _papers(panels, sides, seams):
        for may_keep in (True, False):
            plan = _plan_on(paper, panels, sides, seams, may_keep=may_keep)
            if not any(spot.is_poor for spot in plan.spots):
                return plan
            if not plan.layout.is_as_drawn:
                break
    return plan


def _plan_on(
    paper: tuple[str, float, float],
    panels: Sequence[Panel],
    sides: Mapping[str, Sequence[SeamEdge]],
    seams: int,
    *,
    may_keep: bool,
) -> _Plan:
    name, width, height = paper
    wide = width - 2 * _MARGIN
    listed = list_height(seams, wide)
    list_area = Area(_MARGIN, height - _MARGIN - listed, wide, listed)
    room = Area(_MARGIN, _MARGIN + _HEAD, wide, list_area.top - 4.0 - _MARGIN - _HEAD)
    layout = lay_out(panels, room, may_keep=may_keep)
    outlines = tuple(transformed(laid.outline, laid.matrix) for laid in layout.laid)
    labels = tuple(mark_labels(laid) for laid in layout.laid)
    frame = (room.left - 4.0, room.top - 4.0, room.left + wide + 4.0, list_area.top - 3.0)
    ground = Ground(Taken(frame), Taken(frame), Taken(frame))
    ground.wished.take([box for own in labels for label in own for box in label.wished])
    ground.panels.take([bounds(outline) for outline in outlines])
    spots = [
        spot
        for laid, outline in zip(layout.laid, outlines, strict=True)
        for spot in placed_letters(laid, outline, sides.get(laid.panel.name, ()), ground)
    ]
    return _Plan(name, width, height, list_area, layout, outlines, labels, ground, tuple(spots))


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


def _papers(
    panels: Sequence[Panel], sides: Mapping[str, Sequence[SeamEdge]], seams: int
) -> Iterator[tuple[str, float, float]]:
    """Give the sheets that may have room for a cell for each panel, and for the list."""
    cells = sum(
        max(_LEAST_CELL, _PER_RING * len(sides.get(panel.name, ())) + 16.0) ** 2 for panel in panels
    )
    for name, width, height in _PAPERS:
        listed = list_height(seams, width - 2 * _MARGIN)
        room = (width - 2 * _MARGIN) * (height - 2 * _MARGIN - _HEAD - listed)
        if listed <= _LIST_SHARE * height and room >= cells:
            yield name, width, height
    _, width, height = _PAPERS[-1]
    listed = list_height(seams, width - 2 * _MARGIN)
    needed = cells / (width - 2 * _MARGIN) + listed + 2 * _MARGIN + _HEAD
    yield "roll", width, 100.0 * math.ceil(max(height, needed) / 100.0 + 1.0)


def _draw_panels(page: Page, plan: _Plan, sides: Mapping[str, Sequence[SeamEdge]]) -> int:
    """Draw all panels, then letters, names and marks; give how many marks stay unnamed."""
    laid_out, written = plan.layout.laid, plan.ground.written
    page.layer("panels")
    for laid in laid_out:
        draw_lines(page, laid, {side.edge for side in sides.get(laid.panel.name, ())})
    page.layer("marks")
    for own in plan.labels:
        draw_ticks(page, own)
    page.layer("letters")
    for spot in plan.spots:
        draw_letter(page, spot)
    page.layer("names")
    for laid, outline in zip(laid_out, plan.outlines, strict=True):
        draw_name(page, laid, outline, written)
    page.layer("mark-names")
    pairs = zip(plan.labels, plan.outlines, strict=True)
    return sum(draw_mark_names(page, own, outline, written) for own, outline in pairs)


def _draw_head(
    page: Page, plan: _Plan, reports: Sequence[SeamReport], words: tuple[str, int]
) -> None:
    title, left_out = words
    page.layer("head")
    y = _MARGIN + 6.0
    right = page.width - _MARGIN
    page.words(
        shortened(f"{title}: what is sewn to what", right - 140.0, 6.0, bold=True),
        (_MARGIN, y),
        Letters(6.0, bold=True),
    )
    verdict = _verdict_words(reports)
    page.words(verdict, (right, y), Letters(4.2, bold=True, anchor="end"))
    where = "panels as drawn" if plan.layout.is_as_drawn else "panels in rows, turned as drawn"
    notes = [f"{plan.paper}, {_scale_words(plan.layout.scale)}", where]
    if left_out:
        notes.append(f"{left_out} names of marks left out for want of room")
    page.words("; ".join(notes), (right, y + 5.6), Letters(2.6, anchor="end"))
    _draw_keys(page, y + 11.0)


def _verdict_words(reports: Sequence[SeamReport]) -> str:
    if not reports:
        return "no seams"
    out = sum(report.verdict is Verdict.OUT for report in reports)
    seams = f"{len(reports)} seam{'' if len(reports) == 1 else 's'}"
    return f"{out} of {seams} out: don't cut yet" if out else f"{seams}: all fit"


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
