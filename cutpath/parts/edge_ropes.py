"""Slide-in edge rope: a cord in a strip along an edge, in two where zips meet at the centre."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, line
from cutpath.model import Allowance, Corner, Mark, Seam
from cutpath.part_model import (
    Measure,
    OnPanel,
    Part,
    PartKind,
    Reason,
    StitchRow,
    Supply,
    SupplyKind,
)
from cutpath.parts.along_edges import joined_along, pieces_of_run, seams_along
from cutpath.parts.laying_on import as_often_as, of_cloth, piece_plan, times_of
from cutpath.parts.runs import Run, edges_once, run_of
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.pocket import EdgeRopeEntry

_SHORTEST = 20.0
_SEWN = "sewn"


@dataclass(frozen=True, slots=True, eq=False)
class _Strip:
    """One strip: its name, what it covers of the run, and its cloth when it is cut from some."""

    name: str
    span: tuple[float, float]
    cloth: PanelPlan | None


def edge_ropes(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[edge_rope]]``.

    Raises InputError where setbacks and gap leave nothing, and for an edge with two ropes.
    """
    made = (_edge_rope(index, entry, plans, job) for index, entry in enumerate(job.said.edge_rope))
    return edges_once(
        made, job, "edge_rope", "has two ropes,", "Give it one; split leaves a gap at its centre."
    )


def _edge_rope(index: int, entry: EdgeRopeEntry, plans: Sequence[PanelPlan], job: Job) -> Part:
    place = job.place("edge_rope", index)
    name = entry.name or f"edge rope {index + 1}"
    run = run_of(entry.along, plans, job.place("edge_rope", index, "along"))
    cloth = (
        None
        if entry.cloth is None
        else of_cloth(run.host, entry.cloth, job.place("edge_rope", index, "cloth"), job)
    )
    spans = _spans(run, entry, name, place)
    names = [name] if len(spans) == 1 else [f"{name} {k + 1}" for k in range(len(spans))]
    strips = [_Strip(*each, cloth) for each in zip(names, spans, strict=True)]
    each = spans[0][1] - spans[0][0]
    total = each * len(spans) * times_of(run.host.panel)
    plies = [_plan(run, strip, entry, strip.cloth) for strip in strips if strip.cloth is not None]
    word = "cord" if plies else "edge rope"
    seams: tuple[Seam, ...] = ()
    if plies:
        seams = tuple(
            seam for strip in strips for seam in seams_along(run, strip.span, strip.name, _SEWN)
        )
    return Part(
        name,
        PartKind.EDGE_ROPE,
        plans=tuple(plies),
        on_panels=(OnPanel(run.host.panel.name, marks=_marks(run, strips)),),
        seams=seams,
        runs=run.edges,
        stitching=(StitchRow(name, 2 * total, job.said.thread.stitch, 4),),
        supplies=(
            Supply(SupplyKind.ROPE, f"{word} {entry.rope:g} mm", total, Measure.LENGTH, name),
        ),
        reasons=_reasons(name, entry, run, len(spans), each),
    )


def _spans(
    run: Run, entry: EdgeRopeEntry, name: str, place: Source
) -> tuple[tuple[float, float], ...]:
    """Give what each strip covers, stations along the run; raises InputError for too little."""
    begin, end = entry.setbacks[0], run.length - entry.setbacks[1]
    middle, half = (begin + end) / 2, (entry.split or 0.0) / 2
    spans: tuple[tuple[float, float], ...] = ((begin, end),)
    if entry.split is not None:
        spans = ((begin, middle - half), (middle + half, end))
    if spans[0][1] - spans[0][0] < _SHORTEST:
        raise InputError(
            f"nothing is left of '{name}': its edge is {run.length:.0f} mm long",
            place,
            "Make the setbacks or the gap shorter.",
        )
    return spans


def _width(entry: EdgeRopeEntry) -> float:
    """Give a strip's width, mm: round the cord, and both flaps."""
    return math.pi * entry.rope + 2 * entry.flap


def _plan(run: Run, strip: _Strip, entry: EdgeRopeEntry, cloth: PanelPlan) -> PanelPlan:
    """Give a straight strip; its sewn edges run against the panel's, with the marks of both."""
    whole, width = strip.span[1] - strip.span[0], _width(entry)
    raw = Allowance("raw", 0.0, 0.0, Corner.MITRE)
    parts = pieces_of_run(run, strip.span, _SEWN)
    sides: list[tuple[str, Chain, Allowance]] = [
        (
            part.name,
            line((strip.span[1] - part.end, 0.0), (strip.span[1] - part.begin, 0.0)),
            raw,
        )
        for part in reversed(parts)
    ]
    rest = [(whole, 0.0), (whole, width), (0.0, width), (0.0, 0.0)]
    sides += [
        (name, line(rest[k], rest[k + 1]), raw) for k, name in enumerate(("start", "other", "end"))
    ]
    source = run.host.panel.source
    marks = tuple(
        Mark(name, part.name, part.end - at, source)
        for name, at in joined_along(run, strip.span)
        for part in parts
        if part.begin <= at < part.end
    )
    plan = piece_plan(cloth, strip.name, sides, grain=0.0, label=False, marks=marks)
    return as_often_as(run.host, plan)


def _marks(run: Run, strips: Sequence[_Strip]) -> tuple[Mark, ...]:
    """Mark on the panel where each strip begins and ends, unless that is the run's own end."""
    places = [
        (f"{strip.name} {word}", at)
        for strip in strips
        for word, at in zip(("start", "end"), strip.span, strict=True)
    ]
    return tuple(run.mark_at(*place) for place in places if 1.0 < place[1] < run.length - 1.0)


def _reasons(
    name: str, entry: EdgeRopeEntry, run: Run, strips: int, each: float
) -> tuple[Reason, ...]:
    terms = f"{run.length:.1f} − {sum(entry.setbacks):g} set back"
    if strips > 1:
        terms = f"({terms} − {entry.split:g} between zips) / {strips}"
    return (
        Reason(
            name, "length of a strip", each, "mm", terms,
            "plane geometry; setbacks: common practice, no source",
        ),
        Reason(
            name, "width of the strip", _width(entry), "mm",
            f"π · {entry.rope:g} + 2 · {entry.flap:g}", "plane geometry: the cord's girth",
        ),
    )  # fmt: skip
