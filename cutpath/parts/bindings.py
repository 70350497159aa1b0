"""Binding along net edges: how much, where it cannot follow, and bias strip cut from a cloth."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import polyline
from cutpath.geometry.curvature import curvatures_at
from cutpath.geometry.measure import length
from cutpath.model import Allowance, Corner, Edge, EdgeName, Finding
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
from cutpath.parts.laying_on import edge_named, of_cloth, piece_plan, times_of
from cutpath.parts.runs import edges_once
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.window import BindingEntry, Tape

_FOLLOWS = {
    (Tape.STRAIGHT, 1): 20.0,
    (Tape.STRAIGHT, -1): 20.0,
    (Tape.BIAS, 1): 3.0,
    (Tape.BIAS, -1): 5.0,
}
"""Least radius over the finished width, by cut and by the edge's bend (1 outward, −1 inward):
from memory."""
_FOLDS = 4
"""A double-folded strip is cut four times its finished width (a sewing-machine maker's how-to)."""
_SAMPLES = 400


def bindings(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[binding]]``.

    Raises InputError for edges that are not there or not cut on the line, and for one bound twice.
    """
    made = (_binding(index, entry, plans, job) for index, entry in enumerate(job.said.binding))
    return edges_once(made, job, "binding", "is bound by", "Bind it once.")


def _binding(index: int, entry: BindingEntry, plans: Sequence[PanelPlan], job: Job) -> Part:
    place = job.place("binding", index, "along")
    name = entry.name or f"binding {index + 1}"
    found = [edge_named(plans, words, place) for words in entry.along]
    for plan, edge in found:
        _require_net(plan, edge, place)
    run = sum(length(edge.chain) for _, edge in found)
    corners = _corners(found)
    mitres = 2 * entry.width * corners
    needed = run + 2 * entry.turn_in + entry.joins * entry.join + mitres
    host = found[0][0]
    count = times_of(host.panel)
    pieces: tuple[PanelPlan, ...] = ()
    supplies: tuple[Supply, ...] = ()
    reasons = [_length_reason(name, entry, run, mitres, needed)]
    if entry.cloth is None:
        title = f"{entry.tape.value} binding {entry.width:g} mm"
        supplies = (
            Supply(SupplyKind.BINDING, title, needed * count, Measure.LENGTH, name, entry.waste),
        )
    else:
        cloth = of_cloth(host, entry.cloth, job.place("binding", index, "cloth"), job)
        width = _width_for_strips(entry, cloth, place, job)
        amount = needed * (1 + entry.waste) * count
        pieces, more = _strips(name, entry, cloth, amount, width)
        reasons += more
    return Part(
        name,
        PartKind.BINDING,
        plans=pieces,
        on_panels=(OnPanel(host.panel.name),),
        runs=tuple(EdgeName(plan.panel.name, edge.name) for plan, edge in found),
        stitching=(StitchRow(name, run * count, job.said.thread.stitch, 4),),
        supplies=supplies,
        reasons=tuple(reasons),
        findings=tuple(
            finding for plan, edge in found for finding in _tight(plan, edge, entry, name, place)
        ),
    )


def _require_net(plan: PanelPlan, edge: Edge, place: Source) -> None:
    index = [each.name for each in plan.panel.edges].index(edge.name)
    width = plan.allowances[index].width
    if width > 0:
        raise InputError(
            f"edge '{plan.panel.name}/{edge.name}' has an allowance of {width:g} mm, and binding "
            "goes on edges that are cut on the line",
            place,
            'Give the edge the finish "bound".',
        )


def _corners(found: Sequence[tuple[PanelPlan, Edge]]) -> int:
    """Count corners between edges of the run that a fold of the binding must turn."""
    count = 0
    for (plan, edge), (after_plan, after) in itertools.pairwise(found):
        if plan.panel.name != after_plan.panel.name:
            continue
        gap = float(np.hypot(*(edge.chain.last - after.chain.first)))
        count += gap < 0.01
    return count


def _length_reason(
    name: str, entry: BindingEntry, run: float, mitres: float, needed: float
) -> Reason:
    terms = [f"{run:.1f}", f"2 · {entry.turn_in:g} turned in"]
    if entry.joins:
        terms.append(f"{entry.joins} · {entry.join:g} for joins")
    if mitres:
        terms.append(f"{mitres:g} for corners")
    return Reason(name, "length", needed, "mm", " + ".join(terms), "common practice, no source")


def _width_for_strips(entry: BindingEntry, cloth: PanelPlan, place: Source, job: Job) -> float:
    """Give the width of the cloth that bias strips are cut across.

    Raises InputError for straight strips, and for a cloth of no width or too narrow.
    """
    if entry.tape is not Tape.BIAS:
        raise InputError(
            "straight binding is bought, not cut from cloth", place,
            'Say tape = "bias" to cut strips at 45°, or leave out cloth.',
        )  # fmt: skip
    width = job.said.cloths[cloth.cloth].width
    cut = _FOLDS * entry.width
    if width is None or (width - 2 * cut) * math.sqrt(2) <= entry.join:
        is_unknown = width is None
        raise InputError(
            f"cloth '{cloth.cloth}' "
            + ("has no width" if is_unknown else f"is too narrow for bias strips of {cut:g} mm"),
            place,
            f"Give its width in [cloths.{cloth.cloth}]."
            if is_unknown
            else "Bind with bought tape, or cut it from a wider cloth.",
        )
    return width


def _strips(
    name: str, entry: BindingEntry, cloth: PanelPlan, needed: float, width: float
) -> tuple[tuple[PanelPlan, ...], list[Reason]]:
    """Give bias strips across the cloth's width at 45°, as many as make up the length."""
    cut = _FOLDS * entry.width
    across = (width - 2 * cut) * math.sqrt(2)
    usable = across - entry.join
    count = max(1, math.ceil(needed / usable))
    each = min(across, needed / count + entry.join)
    # Ends along the warp, so that strips join at 45° in one line.
    corners = [(0.0, 0.0), (each, 0.0), (each - cut, cut), (-cut, cut)]
    raw = Allowance("raw", 0.0, 0.0, Corner.MITRE)
    sides = [
        (side, polyline([corners[k], corners[(k + 1) % 4]]), raw)
        for k, side in enumerate(("lower", "end", "upper", "start"))
    ]
    plan = piece_plan(cloth, f"{name} strip", sides, count=count, grain=math.pi / 4, label=False)
    reasons = [
        Reason(
            name, "strip", cut, "mm", f"{_FOLDS} · finished {entry.width:g}",
            "a sewing-machine maker's how-to: double fold",
        ),
        Reason(
            name, "strips", float(count), "",
            f"{needed:.0f} mm from lengths of ({width:g} − 2 · {cut:g}) · √2 − {entry.join:g} = "
            f"{usable:.0f} mm",
            "plane geometry: 45° across the cloth",
        ),
        Reason(
            name, "cloth by area", needed * cut, "mm²", "length · width of the strip",
            "length = area / width",
        ),
    ]  # fmt: skip
    return (plan,), reasons


def _tight(
    plan: PanelPlan, edge: Edge, entry: BindingEntry, name: str, place: Source
) -> list[Finding]:
    """Tell where an edge bends more than the tape can follow, once for each way of bending."""
    stations = np.linspace(0.0, length(edge.chain), _SAMPLES)
    bends = curvatures_at(edge.chain, stations)
    out = []
    for way in (1, -1):
        turned = bends * way
        worst = int(turned.argmax())
        least = _FOLLOWS[entry.tape, way] * entry.width
        if turned[worst] > 0 and 1 / turned[worst] < least * (1 - 1e-9):
            inward = "outward" if way > 0 else "inward"
            out.append(
                Finding(
                    f"'{name}': {plan.panel.name}/{edge.name} bends {inward} with a radius of "
                    f"{1 / turned[worst]:.0f} mm at {stations[worst]:.0f} mm; {entry.tape.value} "
                    f"binding follows {least:.0f} mm and more",
                    place,
                    "Ease the curve, take narrower or bias binding, or fold a mitre there.",
                )
            )
    return out
