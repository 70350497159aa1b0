"""Tube pockets: a strip that follows the panel's own edge, with room to go round the tube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, line, polyline, reversed_chain
from cutpath.geometry.loops import outer_edge
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.offset import outward_normal
from cutpath.geometry.points import Floats
from cutpath.geometry.splitting import sub_chain
from cutpath.model import Allowance, Corner, EdgeName, Mark, Seam
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
from cutpath.settings.part_tables.pocket import PocketEntry, Room

_ROWS = (4.0, 10.0)
"""Stitch rows beside a zip's middle, mm (common practice, no source)."""
_TAIL = 25.0
_BENT = 1e-5
_ROUND = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class _Strip:
    """A pocket's strip: stations it covers on the run, its width, and its long edges."""

    begin: float
    end: float
    width: float
    inner: Chain
    outer: Chain


def pockets(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[pocket]]``.

    Raises InputError for a tube larger than the edge allows, setbacks that leave nothing, and an
    edge in two pockets.
    """
    used: dict[EdgeName, str] = {}
    parts = []
    for index, entry in enumerate(job.said.pocket):
        part = _pocket(index, entry, plans, job)
        for edge in part.runs:
            if edge in used:
                raise InputError(
                    f"edge '{edge}' is in two pockets, '{used[edge]}' and '{part.name}'",
                    job.place("pocket", index, "along"),
                    "Let one pocket have it.",
                )
            used[edge] = part.name
        parts.append(part)
    return tuple(parts)


def _pocket(index: int, entry: PocketEntry, plans: Sequence[PanelPlan], job: Job) -> Part:
    place = job.place("pocket", index)
    name = entry.name or f"pocket {index + 1}"
    run = run_of(entry.along, plans, job.place("pocket", index, "along"))
    cloth = of_cloth(run.host, entry.cloth, job.place("pocket", index, "cloth"), job)
    strip = _strip(run, entry, name, place)
    marks, on_panel = _marks(run, strip, name)
    count = max(run.host.panel.count + run.host.panel.mirrored, 1)
    plan = _plan(run, strip, entry, cloth, marks)
    plan = replace(plan, panel=replace(plan.panel, name=name, count=count))
    excess = length(strip.outer) - (strip.end - strip.begin)
    zip_line = outer_edge(strip.inner, strip.width / 2) if entry.zipped else None
    supplies: list[Supply] = []
    rows = 2 * (strip.end - strip.begin)
    if zip_line is not None:
        plan = _with_zip_lines(plan, strip)
        zip_length = length(zip_line) + 2 * _TAIL
        supplies = [
            Supply(SupplyKind.ZIP, "zip, coil", zip_length * count, Measure.LENGTH, name),
            Supply(SupplyKind.SLIDER, "slider", entry.sliders * count, Measure.COUNT, name),
        ]
        rows += 4 * length(zip_line)
    return Part(
        name,
        PartKind.POCKET,
        plans=(plan,),
        on_panels=(on_panel,),
        seams=_seams(run, strip, name),
        runs=run.edges,
        stitching=(StitchRow(name, rows * count, job.said.thread.stitch, 3),),
        supplies=tuple(supplies),
        reasons=tuple(_reasons(name, entry, run, strip, excess)),
    )


def pocket_width(tube: float, ease: float) -> float:
    """Give the strip's width between its seams, mm: the tube's girth π · d, and ease."""
    return math.pi * tube + ease


def _strip(run: Run, entry: PocketEntry, name: str, place: Source) -> _Strip:
    begin, end = entry.setbacks[0], run.length - entry.setbacks[1]
    if end - begin < 20.0:
        raise InputError(
            f"the setbacks leave nothing of '{name}': its edge is {run.length:.0f} mm long",
            place,
            "Make the setbacks shorter.",
        )
    width = pocket_width(entry.tube, entry.ease)
    stations, bends = run.bends()
    inside = (stations >= begin) & (stations <= end)
    tightest = float(bends[inside].min())
    if tightest < 0 and -1 / tightest <= (width + entry.bow) * (1 + 1e-9):
        radius = -1 / tightest
        at = float(stations[inside][int(bends[inside].argmin())])
        largest = max((radius - entry.ease - entry.bow) / math.pi, 0.0)
        raise InputError(
            f"'{name}' needs {width:.0f} mm for a tube of {entry.tube:g} mm, and its edge bends "
            f"inward with a radius of {radius:.0f} mm at {at:.0f} mm, where no strip is so wide",
            place,
            f"The largest tube that goes there is {largest:.0f} mm; or make two pockets.",
        )
    inner = sub_chain(run.chain, begin, end)
    try:
        outer = _bowed(inner, width, entry.bow) if entry.bow else outer_edge(inner, width)
    except ValueError as error:
        raise InputError(
            f"'{name}' cannot be {width:.0f} mm wide beside its edge's bends", place,
            "Make it shorter, take a smaller tube, or make two pockets.",
        ) from error  # fmt: skip
    return _Strip(begin, end, width, inner, outer)


def _bowed(inner: Chain, width: float, bow: float) -> Chain:
    """Give the outer edge with ``bow`` more in the middle, less by a parabola towards the ends."""
    whole = length(inner)
    share = np.linspace(0.0, 1.0, max(9, math.ceil(whole / 10.0)))
    places, along = points_at_stations(inner, share * whole)
    reach = width + 4 * bow * share * (1 - share)
    return polyline(places + reach[:, None] * outward_normal(along))


def _plan(
    run: Run, strip: _Strip, entry: PocketEntry, cloth: PanelPlan, marks: tuple[Mark, ...]
) -> PanelPlan:
    """Give the strip's piece: the inner edge runs against the panel's, as they are sewn."""
    inner_width = run.allowance or entry.seam
    hem = Allowance("hem", 2 * entry.end_hem, entry.end_hem, Corner.SQUARE)
    edges = (
        ("inner", reversed_chain(strip.inner), Allowance("plain", inner_width, 0.0, Corner.SQUARE)),
        ("start", line(strip.inner.first, strip.outer.first), hem),
        ("outer", strip.outer, Allowance("plain", entry.seam, 0.0, Corner.SQUARE)),
        ("end", line(strip.outer.last, strip.inner.last), hem),
    )
    return piece_plan(cloth, "pocket", edges, grain=run.host.panel.grain, marks=marks)


def _marks(run: Run, strip: _Strip, name: str) -> tuple[tuple[Mark, ...], OnPanel]:
    """Give marks for the strip's inner edge, and those that the panel gets to match them."""
    whole = strip.end - strip.begin
    source = run.host.panel.source
    own = [(found, at) for found, at in run.marks() if strip.begin < at < strip.end]
    centre = strip.begin + whole / 2
    if all(abs(at - centre) > 5.0 for _, at in own):
        own.append((f"{name} centre", centre))
    new = [mark for mark in own if mark[0] == f"{name} centre"]
    on_strip = tuple(Mark(found, "inner", strip.end - at, source) for found, at in own)
    ends = []
    if strip.begin > 1.0:
        ends.append((f"{name} start", strip.begin))
    if strip.end < run.length - 1.0:
        ends.append((f"{name} end", strip.end))
    panel_marks = tuple(run.mark_at(found, at) for found, at in (*new, *ends))
    return on_strip, OnPanel(run.host.panel.name, marks=panel_marks)


def _with_zip_lines(plan: PanelPlan, strip: _Strip) -> PanelPlan:
    """Draw where the zip is sewn, two rows on each side, and where the cloth is opened after."""
    middle = strip.width / 2
    lines = [outer_edge(strip.inner, middle)]
    lines += [outer_edge(strip.inner, middle + side * row) for row in _ROWS for side in (-1, 1)]
    return replace(plan, panel=replace(plan.panel, drawn=tuple(lines)))


def _seams(run: Run, strip: _Strip, name: str) -> tuple[Seam, ...]:
    """Give the seam of strip and panel to be walked, where the strip takes a whole edge."""
    takes_all = strip.begin < _ROUND and strip.end > run.length - _ROUND
    if len(run.edges) != 1 or not takes_all:
        return ()
    return (Seam(name, run.edges[0], EdgeName(name, "inner")),)


def pleats(run_bends: tuple[Floats, Floats], excess: float, depth: float) -> tuple[float, ...]:
    """Give the stations of pleats of at most ``depth`` mm that take up ``excess`` over the bend.

    They stand where equal shares of the whole turn have been made, so that a sharp bend has more.
    """
    count = math.ceil(abs(excess) / depth - 1e-9) if abs(excess) > _ROUND else 0
    if not count:
        return ()
    stations, bends = run_bends
    turned = np.concatenate(
        [[0.0], np.cumsum(np.abs(bends[1:] + bends[:-1]) / 2 * np.diff(stations))]
    )
    wanted = turned[-1] * (np.arange(count) + 0.5) / count
    return tuple(np.interp(wanted, turned, stations).tolist())


def _reasons(name: str, entry: PocketEntry, run: Run, strip: _Strip, excess: float) -> list[Reason]:
    whole = strip.end - strip.begin
    inner = run.allowance or entry.seam
    out = [
        Reason(
            name, "width between seams", strip.width, "mm",
            f"π · {entry.tube:g} + ease {entry.ease:g}", "plane geometry: the tube's girth",
        ),
        Reason(
            name, "cut width", strip.width + inner + entry.seam, "mm",
            f"{strip.width:.1f} + seams {inner:g} + {entry.seam:g}", "plane geometry",
        ),
        Reason(name, "inner edge", whole, "mm", "the panel's own edge less setbacks", "measured"),
        Reason(
            name, "outer edge", length(strip.outer), "mm",
            "the exact offset of the inner edge: (R ± w) · θ on an arc", "plane geometry",
        ),
    ]  # fmt: skip
    if entry.bow:
        radius = (whole**2 / 4 + entry.bow**2) / (2 * entry.bow)
        out.append(
            Reason(
                name, "room for the bow", entry.bow, "mm",
                f"a bar bowed by {entry.bow:g} over {whole:.0f}: radius {radius:.0f}",
                "sagitta: R = (c²/4 + s²) / 2s",
            )
        )  # fmt: skip
    stations, bends = run.bends()
    kept = (stations >= strip.begin) & (stations <= strip.end)
    places = pleats((stations[kept], bends[kept]), excess, entry.pleat)
    if abs(excess) < 0.5:
        return out
    if entry.room is Room.EASE or excess < 0:
        word = (
            "eased in" if excess > 0 else "spread: it is cut that much short, on the bias or slit"
        )
        out.append(
            Reason(
                name, "ease of the outer edge", excess, "mm",
                f"outer {length(strip.outer):.1f} on {whole:.1f}, {word}, "
                f"{100 * excess / whole:.1f} %",
                "plane geometry: w · θ",
            )
        )  # fmt: skip
        return out
    told = ", ".join(f"{at - strip.begin:.0f}" for at in places)
    out += [
        Reason(
            name, "pleats", float(len(places)), "",
            f"w · θ = {excess:.1f} mm taken up by pleats of {entry.pleat:g} at most, at {told} mm "
            "along",
            "plane geometry; their size: common practice, no source",
        ),
        Reason(name, "pleat depth", excess / len(places), "mm", "w · θ / pleats", "plane geometry"),
    ]  # fmt: skip
    return out
