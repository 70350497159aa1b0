"""Reinforcement patches: pieces over fixing points, corners and places on edges."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, circle, opened
from cutpath.geometry.loops import counter_clockwise, rounded, rounded_rectangle, shrunk
from cutpath.geometry.measure import length, signed_area
from cutpath.geometry.points import Point
from cutpath.geometry.region import intersection
from cutpath.geometry.room import parts_inside
from cutpath.geometry.transform import transformed, translation
from cutpath.part_model import OnPanel, Part, PartKind, Reason, StitchRow
from cutpath.parts.laying_on import (
    as_often_as,
    loop_plan,
    of_cloth,
    plan_named,
    times_of,
)
from cutpath.parts.spots import spots_named
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.window import PatchEntry, PatchShape

_FROM_EDGE = 3.0
"""Stitching runs this far inside a patch's edge, mm (common practice, no source)."""


def patches(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[patch]]``.

    Raises InputError for a patch over nothing, and for one that its layers leave nothing of.
    """
    return tuple(_patch(index, entry, plans, job) for index, entry in enumerate(job.said.patch))


def _patch(index: int, entry: PatchEntry, plans: Sequence[PanelPlan], job: Job) -> Part:
    host = plan_named(plans, entry.panel, job.place("patch", index, "panel"))
    name = entry.name or f"patch {index + 1}"
    place = job.place("patch", index, "over")
    spots = [spot for words in entry.over for spot in spots_named(words, host, place)]
    if not spots:
        raise InputError(
            f"'{name}' lies over nothing: panel '{host.panel.name}' has no drill marks",
            place,
            'Name places: over = ["corner bottom/aft", "edge bottom 120 mm"].',
        )
    cloth = of_cloth(host, entry.cloth, job.place("patch", index, "cloth"), job)
    net = host.panel.outline
    if entry.shape is PatchShape.CORNER:
        shapes = [(_corner_shape(net, spot, entry, name, place), 1) for spot in spots]
        outlines = [shape for shape, _ in shapes]
    else:
        shape = _free_shape(entry)
        shapes = [(shape, len(spots))]
        outlines = [transformed(shape, translation(*spot)) for spot in spots]
    plans_, rows = [], 0.0
    for number, (shape, count) in enumerate(shapes, start=1):
        called = name if len(shapes) == 1 else f"{name} {number}"
        for layer, loop in enumerate(_layers(shape, entry, name, place), start=1):
            told = called if entry.layers == 1 else f"{called} layer {layer}"
            times = count * times_of(host.panel)
            plan = loop_plan(cloth, told, loop, entry.allowance, count=times)
            is_handed = entry.shape is PatchShape.CORNER
            plans_.append(as_often_as(host, plan) if is_handed else plan)
            inner = shrunk(loop, _FROM_EDGE)
            rows += times * length(inner if inner is not None else loop)
    drawn = tuple(part for outline in outlines for part in parts_inside(opened(outline), net))
    return Part(
        name,
        PartKind.PATCH,
        plans=tuple(plans_),
        on_panels=(OnPanel(host.panel.name, drawn=drawn),),
        at=tuple(spots),
        stitching=(StitchRow(name, rows, job.said.thread.stitch, 2),),
        reasons=_reasons(name, entry, len(spots)),
    )


def _free_shape(entry: PatchEntry) -> Chain:
    if entry.shape is PatchShape.ROUND:
        return circle((0.0, 0.0), entry.size[0] / 2)
    width, height = entry.size[0], entry.size[-1]
    radius = min(entry.radius, width / 2, height / 2)
    return rounded_rectangle(np.zeros(2), width, height, radius)


def _corner_shape(net: Chain, spot: Point, entry: PatchEntry, name: str, place: Source) -> Chain:
    """Give what of the panel lies within reach of a corner: it follows the panel's outline."""
    outline = counter_clockwise(net)
    found = [
        part
        for part in intersection([outline], [circle(spot, entry.size[0])])
        if signed_area(part) > 1.0
    ]
    near = [part for part in found if np.hypot(*(part.points - spot).T).min() < 0.1]
    if not near:
        raise InputError(
            f"'{name}' lies over nothing", place, "Look at the corner's name, and at the size."
        )
    return max(near, key=signed_area)


def _layers(shape: Chain, entry: PatchEntry, name: str, place: Source) -> list[Chain]:
    out = [shape]
    for layer in range(1, entry.layers):
        smaller = shrunk(shape, layer * entry.step)
        if smaller is None:
            raise InputError(
                f"layer {layer + 1} of '{name}' comes to nothing, {entry.step:g} mm smaller each",
                place,
                "Ask for fewer layers, smaller steps or a larger patch.",
            )
        out.append(rounded(smaller, 2.0) or smaller)
    return out


def _reasons(name: str, entry: PatchEntry, count: int) -> tuple[Reason, ...]:
    reasons = [Reason(name, "patches", float(count), "", "one over each place", "said in the job")]
    if entry.layers > 1:
        reasons.append(
            Reason(
                name, "step", entry.step, "mm", "each layer smaller all round, so that no edge "
                "lies on another", "common practice, no source",
            )
        )  # fmt: skip
    return tuple(reasons)
