"""Panels as digitised to panels as they are cut: edges laid fair first, then pairs made alike."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.errors import InputError
from cutpath.geometry.soundness import crossing_place
from cutpath.model import Panel
from cutpath.revise.fairing import fair_edges
from cutpath.revise.pairs import pair_up
from cutpath.revision import PairUse, Revisions
from cutpath.settings.job import Job


def revise(panels: Sequence[Panel], job: Job) -> tuple[tuple[Panel, ...], Revisions]:
    """Do what the job asks for on the net lines, and tell it; unsaid pairs are only compared.

    Raises InputError for what cannot be done, and for a panel whose outline would cross itself.
    """
    for name, entry in job.said.panels.items():
        faired = [edge for edge, said in entry.edges.items() if said.fair is not None]
        if faired and entry.pair is PairUse.MIRROR:
            raise InputError(
                f"panel '{name}' is cut as the mirror image of '{entry.pair_with}', so its own "
                "edge cannot be laid fair",
                job.place("panels", name, "edges", faired[0], "fair"),
                f"Say fair on the edge of '{entry.pair_with}'.",
            )
    fair, told = fair_edges(panels, job)
    alike, pairs = pair_up(fair, job)
    before = {panel.name: panel for panel in panels}
    for panel in alike:
        if panel is not before[panel.name]:
            _require_simple(panel, job)
    return alike, Revisions(faired=told, pairs=pairs)


def _require_simple(panel: Panel, job: Job) -> None:
    place = crossing_place(panel.outline)
    if place is not None:
        raise InputError(
            f"panel '{panel.name}' would cross itself at ({place[0]:.1f}, {place[1]:.1f}) mm when "
            "its edges are laid fair or its pair made alike",
            job.place("panels", panel.name),
            "Allow less, or leave that edge as it was digitised.",
        )
