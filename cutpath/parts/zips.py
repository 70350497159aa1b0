"""Zips along edges, with snips where the tape must bend."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.errors import Source
from cutpath.geometry.points import Floats
from cutpath.model import Finding
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
from cutpath.parts.runs import run_of
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.pocket import ZipEntry

STRAIN = 0.02
"""Woven tape takes this much in its length without a ripple (from memory)."""
_FLAT = 0.5
"""How far a straight stretch between snips may lie beside the curve, mm."""
_TOLD = 24
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


def snip_reasons(name: str, snips: Snips, tape: float) -> list[Reason]:
    """Tell where a tape is snipped and how deep; nothing where it need not be."""
    if not snips.stations:
        return []
    told = ", ".join(f"{at:.0f}" for at in snips.stations[:_TOLD])
    more = " …" if len(snips.stations) > _TOLD else ""
    return [
        Reason(
            name, "snips in the tape", float(len(snips.stations)), "",
            f"every √(8 · r · {_FLAT:g}) mm on the bend, at {told}{more} mm along",
            "sagitta; where the edge differs by more than 2 %: from memory",
        ),
        Reason(
            name, "depth of the snips", snips.depth, "mm",
            f"tape {tape:g} less {STRAIN:g} · r, never beyond half of it",
            "common practice, no source",
        ),
    ]  # fmt: skip


def snip_findings(name: str, snips: Snips, tape: float, place: Source) -> list[Finding]:
    """Question a zip whose bend is too tight for its tape."""
    if snips.radius >= _TIGHT * tape:
        return []
    return [
        Finding(
            f"'{name}' bends with a radius of {snips.radius:.0f} mm: too tight for a zip with a "
            f"tape of {tape:g} mm",
            place,
            "Ease the curve there, or take a narrower coil zip.",
        )
    ]


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
    reasons = [
        Reason(
            name, "zip length", whole, "mm", f"{run.length:.1f} + 2 · {entry.tail:g} to sew in",
            "common practice, no source",
        )
    ]  # fmt: skip
    return Part(
        name,
        PartKind.ZIP,
        runs=run.edges,
        on_panels=(OnPanel(run.host.panel.name),),
        stitching=(StitchRow(name, 2 * run.length * count, job.said.thread.stitch, 2),),
        supplies=(
            Supply(SupplyKind.ZIP, "zip, coil", whole * count, Measure.LENGTH, name),
            Supply(SupplyKind.SLIDER, "slider", entry.sliders * count, Measure.COUNT, name),
        ),
        reasons=(*reasons, *snip_reasons(name, snips, entry.tape)),
        findings=tuple(snip_findings(name, snips, entry.tape, place)),
    )
