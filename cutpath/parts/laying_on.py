"""What parts that lie on panels have in common: their pieces, and finding panels and cloths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, opened
from cutpath.model import Allowance, Corner, Edge, Mark, Panel
from cutpath.settings.cloth_entry import Faces
from cutpath.settings.job import Job
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan

RIM = "rim"


def plan_named(plans: Sequence[PanelPlan], name: str, place: Source) -> PanelPlan:
    """Give the plan of the panel called ``name``; raises InputError when there is none."""
    found = next((plan for plan in plans if plan.panel.name == name), None)
    if found is None:
        names = [plan.panel.name for plan in plans]
        raise InputError(f"there is no panel '{name}'", place, nearest_word(name, names))
    return found


def edge_named(plans: Sequence[PanelPlan], words: str, place: Source) -> tuple[PanelPlan, Edge]:
    """Give panel and edge of "panel/edge"; raises InputError when either is not there."""
    panel, slash, name = words.rpartition("/")
    if not slash:
        raise InputError(f"'{words}' names no edge", place, 'Write panel and edge: "front/top".')
    plan = plan_named(plans, panel, place)
    edge = next((each for each in plan.panel.edges if each.name == name), None)
    if edge is None:
        names = [each.name for each in plan.panel.edges]
        raise InputError(f"panel '{panel}' has no edge '{name}'", place, nearest_word(name, names))
    return plan, edge


def of_cloth(plan: PanelPlan, key: str | None, place: Source, job: Job) -> PanelPlan:
    """Give ``plan`` cut from the cloth ``key``, the panel's own when None.

    Raises InputError for a cloth that the job doesn't list.
    """
    if key is None:
        return plan
    if key not in job.said.cloths:
        raise InputError(
            f"there is no cloth '{key}'", place,
            nearest_word(key, job.said.cloths) or f"Add [cloths.{key}] with its width.",
        )  # fmt: skip
    cloth = job.said.cloths[key]
    return replace(
        plan, cloth=key, cloth_name=cloth.name or key, faces_differ=cloth.faces is Faces.DIFFER
    )


def piece_plan(  # noqa: PLR0913 (all that a part may say of its piece)
    host: PanelPlan,
    name: str,
    edges: Sequence[tuple[str, Chain, Allowance]],
    *,
    count: int = 1,
    grain: float | None = None,
    label: bool = True,
    marks: tuple[Mark, ...] = (),
) -> PanelPlan:
    """Give the plan of a part's own piece, by its net edges (counter-clockwise) with allowances.

    Whatever else is said of it (cloth, job, mitre limit) is the host's. ``label`` False writes
    nothing on it, as on film.
    """
    panel = Panel(
        name=name,
        edges=tuple(Edge(edge, chain) for edge, chain, _ in edges),
        marks=marks,
        inner=(),
        drills=(),
        drawn=(),
        grain=grain,
        count=count,
        mirrored=0,
        material="",
        source=Source(file=host.panel.source.file, entity=name),
    )
    return replace(
        host,
        panel=panel,
        allowances=tuple(allowance for _, _, allowance in edges),
        corners=(None,) * len(edges),
        label_height=host.label_height if label else 0.0,
        pen_grain=host.pen_grain and label,
        pen_folds=False,
        pen_stitch=False,
        keep_level=None,
    )


def loop_plan(  # noqa: PLR0913 (the same)
    host: PanelPlan, name: str, loop: Chain, allowance: float = 0.0, *, count: int = 1,
    grain: float | None = None, label: bool = True,
) -> PanelPlan:  # fmt: skip
    """Give the plan of a piece whose net line is one closed, counter-clockwise loop."""
    finish = Allowance("raw" if allowance == 0 else "turned", allowance, allowance, Corner.MITRE)
    rim = ((RIM, opened(loop), finish),)
    return piece_plan(host, name, rim, count=count, grain=grain, label=label)


def times_of(panel: Panel) -> int:
    """Give how many of a panel are cut, as drawn and mirrored together; 1 when none is."""
    return max(panel.count + panel.mirrored, 1)


def as_often_as(host: PanelPlan, plan: PanelPlan) -> PanelPlan:
    """Give ``plan`` cut as often as ``host``, mirrored where the host is."""
    mirrored = host.panel.mirrored
    count = times_of(host.panel) - mirrored
    return replace(plan, panel=replace(plan.panel, count=count, mirrored=mirrored))
