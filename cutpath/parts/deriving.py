"""All parts of a job, and the panels with the lines and marks that the parts leave on them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from cutpath.errors import InputError
from cutpath.model import Panel
from cutpath.part_model import OnPanel, Part
from cutpath.parts.bindings import bindings
from cutpath.parts.edge_ropes import edge_ropes
from cutpath.parts.patches import patches
from cutpath.parts.pockets import pockets
from cutpath.parts.webbing import webbings
from cutpath.parts.windows import windows
from cutpath.parts.zips import zips
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan

Deriver = Callable[[Sequence[PanelPlan], Job], tuple[Part, ...]]
"""Takes the traced panels' plans; gives the parts of one kind that the job asks for."""
DERIVERS: tuple[Deriver, ...] = (patches, windows, pockets, zips, edge_ropes, bindings, webbings)


def derive(plans: Sequence[PanelPlan], job: Job) -> tuple[tuple[PanelPlan, ...], tuple[Part, ...]]:
    """Derive every part that the job asks for; give all plans, the parts' own after the panels'.

    Raises InputError for a part that cannot be, before anything is written.
    """
    parts = tuple(part for deriver in DERIVERS for part in deriver(plans, job))
    names = [part.name for part in parts]
    for name in names:
        if names.count(name) > 1:
            raise InputError(f"two parts are called '{name}'", job.place(), "Name them apart.")
    additions = [addition for part in parts for addition in part.on_panels]
    hosts = tuple(_with_additions(plan, additions) for plan in plans)
    return (*hosts, *(plan for part in parts for plan in part.plans)), parts


def _with_additions(plan: PanelPlan, additions: Sequence[OnPanel]) -> PanelPlan:
    panel = plan.panel
    mine = [addition for addition in additions if addition.panel == panel.name]
    return replace(plan, panel=_added(panel, mine)) if mine else plan


def _added(panel: Panel, additions: Sequence[OnPanel]) -> Panel:
    replaced = {name for each in additions for name in each.instead_of}
    return replace(
        panel,
        inner=tuple(loop for loop in panel.inner if loop.name not in replaced),
        marks=(*panel.marks, *(mark for each in additions for mark in each.marks)),
        drawn=(*panel.drawn, *(line for each in additions for line in each.drawn)),
        slits=(*panel.slits, *(slit for each in additions for slit in each.slits)),
        drills=(*panel.drills, *(drill for each in additions for drill in each.drills)),
    )
