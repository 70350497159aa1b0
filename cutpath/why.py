"""How each number came about: where the job says it, or the default and its source."""

from __future__ import annotations

from collections.abc import Iterator

from cutpath.errors import InputError
from cutpath.geometry.measure import length
from cutpath.part_model import Part
from cutpath.planning import Planned
from cutpath.settings.job import Job
from cutpath.settings.job_file import EdgeEntry, FinishName, PanelEntry
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan

_SOURCES = {
    "plain": "common practice, no source",
    "zip": "common practice, no source",
    "hem": "US Army FM 10-16, chapter 8: 1 in turned over, 1/2 in turned under",
    "bound": "a bound edge is cut on the line: common practice, no source",
    "raw": "a raw edge is cut on the line",
}
_NOTHING = PanelEntry()
_EDGE = EdgeEntry.model_validate({})


def why(planned: Planned, name: str) -> tuple[str, ...]:
    """Explain every number of the panel, edge ("top/aft" or "top.aft") or part called ``name``.

    Raises InputError when there is nothing of that name.
    """
    for part in planned.parts:
        if part.name == name:
            return tuple(_of_part(part))
    plans = {plan.panel.name: plan for plan in planned.plans}
    if name in plans:
        plan = plans[name]
        parts = [part for part in planned.parts if plan in part.plans]
        own = [line for part in parts for line in _of_part(part)]
        edges = [line for edge in plan.panel.edges for line in _of_edge(plan, edge.name, planned)]
        return (*own, *edges)
    for sign in ("/", "."):
        panel, found, edge = name.rpartition(sign)
        if found and panel in plans:
            names = [each.name for each in plans[panel].panel.edges]
            if edge not in names:
                raise InputError(
                    f"panel '{panel}' has no edge '{edge}'", remedy=nearest_word(edge, names)
                )
            parts = [
                part
                for part in planned.parts
                if any(str(run) == f"{panel}/{edge}" for run in part.runs)
            ]
            told = [line for part in parts for line in _of_part(part)]
            return (*_of_edge(plans[panel], edge, planned), *told)
    known = [*(part.name for part in planned.parts), *plans]
    raise InputError(
        f"there is no panel, edge or part '{name}'",
        remedy=nearest_word(name, known) or f"Known: {', '.join(known)}.",
    )


def _of_part(part: Part) -> Iterator[str]:
    yield f"{part.name} ({part.kind.value})"
    for reason in part.reasons:
        value = f"{reason.value:.6g} {reason.unit}".strip()
        yield f"  {reason.what}: {value}"
        yield f"    {reason.formula}"
        yield f"    source: {reason.source}"


def _of_edge(plan: PanelPlan, edge: str, planned: Planned) -> Iterator[str]:
    names = [each.name for each in plan.panel.edges]
    index = names.index(edge)
    allowance = plan.allowances[index]
    yield f"{plan.panel.name}/{edge}"
    yield f"  length: {length(plan.panel.edges[index].chain):.1f} mm, on the net line"
    derived = {each.panel.name for part in planned.parts for each in part.plans}
    if plan.panel.name in derived:
        yield f"  allowance: {allowance.width:g} mm, {allowance.finish}, by its part"
        return
    finish, said = _finish(plan.panel.name, edge, planned.job)
    yield f"  finish: {allowance.finish}, {said}"
    how = _width(plan.panel.name, edge, finish, planned.job)
    yield f"  allowance: {allowance.width:g} mm, {how}"
    if allowance.turn_under:
        yield f"    of which {allowance.turn_under:g} mm are turned under"


def _finish(panel: str, edge: str, job: Job) -> tuple[FinishName, str]:
    entry = job.said.panels.get(panel, _NOTHING)
    own = entry.edges.get(edge, _EDGE)
    if own.finish is not None:
        return own.finish, f"said at {job.place('panels', panel, 'edges', edge)}"
    if entry.finish is not None:
        return entry.finish, f"said for the panel at {job.place('panels', panel, 'finish')}"
    if "finish" in job.said.model_fields_set:
        return job.said.finish, f"said for the job at {job.place('finish')}"
    return job.said.finish, "where nothing is said"


def _width(panel: str, edge: str, finish: FinishName, job: Job) -> str:
    entry = job.said.panels.get(panel, _NOTHING)
    own = entry.edges.get(edge, _EDGE)
    if own.width is not None or own.turn_under is not None:
        return f"said at {job.place('panels', panel, 'edges', edge, 'width')}"
    panel_speaks = own.finish is None or own.finish is entry.finish
    if panel_speaks and (entry.width is not None or entry.turn_under is not None):
        return f"said for the panel at {job.place('panels', panel, 'width')}"
    finishes = job.said.finishes
    if "finishes" in job.said.model_fields_set and finish.value in finishes.model_fields_set:
        return f"said for the job at {job.place('finishes', finish.value)}"
    return f"the default; {_SOURCES[finish.value]}"
