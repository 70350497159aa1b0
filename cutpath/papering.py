"""Paper templates of a job or a drawing: patterns at full size, on pages or for a pen plotter."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from cutpath.errors import InputError, Source
from cutpath.model import NotchShape
from cutpath.paper.page import Page
from cutpath.paper.paging import pages_of
from cutpath.paper.pdf import pdf_of
from cutpath.paper.sheets import Sheet
from cutpath.paper.svg import svg_of
from cutpath.paper.template import Shown, Template, template_of
from cutpath.path.piece_making import Marking, make_pieces
from cutpath.planning import Planned, Progress, Request, plan, quiet
from cutpath.settings.panel_plan import PanelPlan

_PAPER = Marking(NotchShape.SLIT, 6.0, can_drill=True)
"""Notches of a template are drawn to be cut with scissors."""
_LEAST, _MOST = 0.8, 1.25
"""A printer farther off than this was not set to full size."""


@dataclass(frozen=True, slots=True)
class PaperWish:
    """What the user wants on paper; ``measured`` is what 100 mm came out as, across and up."""

    sheet: Sheet
    shown: Shown = field(default_factory=Shown)
    apart: bool = False
    measured: tuple[float, float] = (100.0, 100.0)


@dataclass(frozen=True, slots=True, eq=False)
class Papered:
    """Templates on pages."""

    planned: Planned
    templates: tuple[Template, ...]
    pages: tuple[Page, ...]


def make_paper(request: Request, wish: PaperWish, progress: Progress = quiet) -> Papered:
    """Make the pages of every panel's template, one for each panel whatever its count.

    Raises InputError for what cannot be used, and for a printer that is off beyond reason.
    """
    scale = _scale(wish.measured)
    planned = plan(request, progress)
    progress("making templates", 0, 1)
    templates = templates_of(planned, wish.shown)
    if not templates:
        raise InputError("there is nothing to draw", Source(file=planned.job.file))
    progress("laying out pages", 0, 1)
    pages = pages_of(templates, wish.sheet, planned.job.name, scale, apart=wish.apart)
    return Papered(planned, templates, pages)


def _scale(measured: tuple[float, float]) -> tuple[float, float]:
    found = (100.0 / measured[0], 100.0 / measured[1])
    if not all(_LEAST <= each <= _MOST for each in found):
        raise InputError(
            f"a 100 mm square cannot come out as {measured[0]:g} × {measured[1]:g} mm",
            remedy="Print at 100 % first, and say what its sides measure then.",
        )
    return found


def templates_of(planned: Planned, shown: Shown) -> tuple[Template, ...]:
    """Give the template of every panel that is cut, derived parts' too."""
    out = []
    for each in planned.splits.plans:
        panel = each.panel
        if panel.count + panel.mirrored == 0:
            continue
        one = replace(each, panel=replace(panel, count=1, mirrored=0), job=_told(each))
        pieces, _ = make_pieces(one, _PAPER)
        letters = _letters(planned, each)
        out.append(template_of(pieces[0], each, letters, shown))
    return tuple(out)


def _told(each: PanelPlan) -> str:
    panel = each.panel
    cut = f"cut {panel.count}"
    if panel.mirrored:
        cut += f" and {panel.mirrored} mirrored"
    return f"{each.job}, {cut}" if each.job else cut


def _letters(planned: Planned, plan_: PanelPlan) -> list[tuple[str, str]]:
    """Give the letters of the seams along a panel's edges, those of a whole that it is part of."""
    names = {plan_.panel.name}
    seams = list(planned.seams)
    for split in planned.splits.made:
        if plan_ in split.parts:
            names.add(split.panel)
            seams += split.seams
    edges = {edge.name for edge in plan_.panel.edges}
    return [
        (seam.letter, name.edge)
        for seam in seams
        for name in (seam.first, seam.second)
        if name.panel in names and name.edge in edges
    ]


def paper_files(papered: Papered, *, as_svg: bool) -> dict[str, bytes]:
    """Give the files: one PDF, or a numbered SVG for each page."""
    if not as_svg:
        return {"templates.pdf": pdf_of(papered.pages, papered.planned.job.name)}
    digits = len(str(len(papered.pages)))
    return {
        f"page-{page.number:0{digits}d}.svg": svg_of(page).encode("utf-8") for page in papered.pages
    }
