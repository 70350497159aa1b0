"""Zips along edges, with snips where the tape must bend; and slide-in edge ropes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.errors import InputError
from cutpath.geometry.chain import polyline
from cutpath.geometry.points import Floats
from cutpath.model import Allowance, Corner, Finding
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
from cutpath.parts.laying_on import of_cloth, piece_plan
from cutpath.parts.runs import Run, run_of
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.pocket import EdgeRopeEntry, ZipEntry

STRAIN = 0.02
"""Woven tape takes this much in its length without a ripple (from memory)."""
_FLAT = 0.5
"""How far a straight stretch between snips may lie beside the curve, mm."""
_TIGHT = 2.0
"""A zip with less radius than this many tape widths is told (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Snips:
    """Where a zip's tape is snipped: stations along the edge, how deep, and the sharpest bend."""

    stations: tuple[float, ...]
    depth: float
    radius: float


def zip_snips(bends: tuple[Floats, Floats], tape: float) -> Snips:
    """Give the snips of a tape ``tape`` mm wide along an edge with these bends.

    On a bend of radius r the tape's edge is (tape / r) longer or shorter than its teeth. Where
    that is more than 2 % it is snipped every √(8 r · 0.5) mm (the chord whose sagitta is 0.5 mm),
    as deep as leaves 2 %, never beyond half of the tape's width (common practice, no source).
    """
    stations, curvature = bends
    places: list[float] = []
    sharpest = 0.0
    following = -math.inf
    for station, bend in zip(stations.tolist(), abs(curvature).tolist(), strict=True):
        if bend * tape <= STRAIN:
            continue
        sharpest = max(sharpest, bend)
        if station >= following:
            places.append(station)
            following = station + math.sqrt(8 * _FLAT / bend)
    if not places:
        return Snips((), 0.0, math.inf)
    depth = min(tape / 2, max(tape - STRAIN / sharpest, 0.0))
    return Snips(tuple(places), depth, 1 / sharpest)


def zips(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[zip]]``; raises InputError for edges that are not there."""
    return tuple(_zip(index, entry, plans, job) for index, entry in enumerate(job.said.zip))


def _zip(index: int, entry: ZipEntry, plans: Sequence[PanelPlan], job: Job) -> Part:
    place = job.place("zip", index, "along")
    name = entry.name or f"zip {index + 1}"
    run = run_of(entry.along, plans, place)
    count = max(run.host.panel.count + run.host.panel.mirrored, 1)
    whole = run.length + 2 * entry.tail
    snips = zip_snips(run.bends(), entry.tape)
    findings = []
    if snips.radius < _TIGHT * entry.tape:
        findings.append(
            Finding(
                f"'{name}' bends with a radius of {snips.radius:.0f} mm: too tight for a tape of "
                f"{entry.tape:g} mm",
                place,
                "Ease the curve there, or take a narrower coil zip.",
            )
        )
    reasons = [
        Reason(
            name, "zip length", whole, "mm", f"{run.length:.1f} + 2 · {entry.tail:g} to sew in",
            "common practice, no source",
        )
    ]  # fmt: skip
    if snips.stations:
        told = ", ".join(f"{at:.0f}" for at in snips.stations[:24])
        more = " …" if len(snips.stations) > 24 else ""
        reasons += [
            Reason(
                name, "snips in the tape", float(len(snips.stations)), "",
                f"every √(8 · r · {_FLAT:g}) mm on the bend, at {told}{more} mm along",
                "sagitta; where the edge differs by more than 2 %: from memory",
            ),
            Reason(
                name, "depth of the snips", snips.depth, "mm",
                f"never beyond half of the tape's {entry.tape:g}", "common practice, no source",
            ),
        ]  # fmt: skip
    return Part(
        name,
        PartKind.ZIP,
        runs=run.edges,
        on_panels=(_end_marks(run, name, 0.0, 0.0),),
        stitching=(StitchRow(name, 2 * run.length * count, job.said.thread.stitch, 2),),
        supplies=(
            Supply(SupplyKind.ZIP, "zip, coil", whole * count, Measure.LENGTH, name),
            Supply(SupplyKind.SLIDER, "slider", entry.sliders * count, Measure.COUNT, name),
        ),
        reasons=tuple(reasons),
        findings=tuple(findings),
    )


def _end_marks(run: Run, name: str, first: float, last: float) -> OnPanel:
    """Mark on the panel where a strip begins and ends, unless that is the edge's own end."""
    places = []
    if first > 1.0:
        places.append((f"{name} start", first))
    if last > 1.0:
        places.append((f"{name} end", run.length - last))
    return OnPanel(run.host.panel.name, marks=tuple(run.mark_at(*place) for place in places))


def edge_ropes(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[edge_rope]]``; raises InputError where it leaves nothing."""
    return tuple(
        _edge_rope(index, entry, plans, job) for index, entry in enumerate(job.said.edge_rope)
    )


def _edge_rope(index: int, entry: EdgeRopeEntry, plans: Sequence[PanelPlan], job: Job) -> Part:
    place = job.place("edge_rope", index)
    name = entry.name or f"edge rope {index + 1}"
    run = run_of(entry.along, plans, job.place("edge_rope", index, "along"))
    whole = run.length - sum(entry.setbacks)
    gap = entry.split or 0.0
    strips = 1 if entry.split is None else 2
    each = (whole - gap) / strips
    if each < 20.0:
        raise InputError(
            f"nothing is left of '{name}': its edge is {run.length:.0f} mm long",
            place,
            "Make the setbacks or the gap shorter.",
        )
    count = strips * max(run.host.panel.count + run.host.panel.mirrored, 1)
    width = math.pi * entry.rope + 2 * entry.flap
    pieces: tuple[PanelPlan, ...] = ()
    supplies: tuple[Supply, ...] = (
        Supply(SupplyKind.ROPE, f"edge rope {entry.rope:g} mm", each * count, Measure.LENGTH, name),
    )
    if entry.cloth is not None:
        cloth = of_cloth(run.host, entry.cloth, job.place("edge_rope", index, "cloth"), job)
        corners = [(0.0, 0.0), (each, 0.0), (each, width), (0.0, width)]
        raw = Allowance("raw", 0.0, 0.0, Corner.MITRE)
        sides = [
            (side, polyline([corners[k], corners[(k + 1) % 4]]), raw)
            for k, side in enumerate(("lower", "end", "upper", "start"))
        ]
        pieces = (piece_plan(cloth, f"{name} strip", sides, count=count, grain=0.0, label=False),)
        supplies = (
            Supply(SupplyKind.ROPE, f"cord {entry.rope:g} mm", each * count, Measure.LENGTH, name),
        )
    marks = list(_end_marks(run, name, *entry.setbacks).marks)
    if entry.split is not None:
        middle = entry.setbacks[0] + whole / 2
        marks += [
            run.mark_at(f"{name} middle {k}", middle + side * gap / 2)
            for k, side in ((1, -1.0), (2, 1.0))
        ]
    return Part(
        name,
        PartKind.EDGE_ROPE,
        plans=pieces,
        on_panels=(OnPanel(run.host.panel.name, marks=tuple(marks)),),
        runs=run.edges,
        stitching=(StitchRow(name, 2 * each * count, job.said.thread.stitch, 4),),
        supplies=supplies,
        reasons=(
            Reason(
                name, "length of a strip", each, "mm",
                f"({run.length:.1f} − {sum(entry.setbacks):g} set back − {gap:g}) / {strips}",
                "plane geometry",
            ),
            Reason(
                name, "width of the strip", width, "mm",
                f"π · {entry.rope:g} + 2 · {entry.flap:g}", "plane geometry",
            ),
        ),
    )  # fmt: skip
