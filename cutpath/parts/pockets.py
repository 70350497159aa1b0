"""Tube pockets: a strip that follows the panel's own edge, with room to go round the tube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, line, reversed_chain
from cutpath.geometry.measure import length
from cutpath.geometry.splitting import sub_chain
from cutpath.model import Allowance, Corner, Mark
from cutpath.part_model import Measure, OnPanel, Part, PartKind, StitchRow, Supply, SupplyKind
from cutpath.parts.along_edges import joined_along, pieces_of_run, seams_along
from cutpath.parts.laying_on import as_often_as, of_cloth, piece_plan, times_of
from cutpath.parts.pocket_shape import Strip, pleats, strip_of, zip_line, zip_lines
from cutpath.parts.pocket_words import pocket_findings, pocket_reasons
from cutpath.parts.runs import Run, edges_once, run_of
from cutpath.parts.zips import snip_findings, snip_reasons, zip_snips
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.pocket import PocketEntry, Room

_ROWS = (4.0, 10.0)
"""Stitch rows beside a zip's middle, mm (common practice, no source)."""
_TAIL = 25.0
"""Kept of a zip beyond both ends of its opening, mm (common practice, no source)."""
_CLOSE = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class _Pocket:
    """A pocket laid out: what was asked for, and the strip and pleats that come of it."""

    name: str
    entry: PocketEntry
    place: Source
    run: Run
    strip: Strip
    folds: tuple[float, ...]
    cloth: PanelPlan

    @property
    def pleat(self) -> float:
        """Give how much cloth one pleat takes up, mm."""
        return self.strip.longer / len(self.folds) if self.folds else 0.0


def pockets(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[pocket]]``.

    Raises InputError for a tube larger than the edge allows, setbacks that leave nothing, and an
    edge in two pockets.
    """
    made = (
        _part(_laid_out(index, entry, plans, job), job)
        for index, entry in enumerate(job.said.pocket)
    )
    return edges_once(made, job, "pocket", "is in two pockets,", "Let one pocket have it.")


def _laid_out(index: int, entry: PocketEntry, plans: Sequence[PanelPlan], job: Job) -> _Pocket:
    place = job.place("pocket", index)
    name = entry.name or f"pocket {index + 1}"
    tube = _tube(entry, name, place)
    run = run_of(entry.along, plans, job.place("pocket", index, "along"))
    cloth = of_cloth(run.host, entry.cloth, job.place("pocket", index, "cloth"), job)
    strip = strip_of(run, entry, tube, name, place)
    if 2 * entry.reinforce > strip.length:
        raise InputError(
            f"'{name}' is {strip.length:.0f} mm long: its ends of {entry.reinforce:g} mm meet",
            job.place("pocket", index, "reinforce"),
            "Make them shorter than half of the pocket.",
        )
    folds: tuple[float, ...] = ()
    if entry.room is Room.PLEATS:
        stations, bends = run.bends(strip.begin, strip.end)
        folds = pleats((stations - strip.begin, bends), strip.longer, entry.pleat)
    return _Pocket(name, entry, place, run, strip, folds, cloth)


def _tube(entry: PocketEntry, name: str, place: Source) -> float:
    """Give the tube's diameter, mm; raises InputError unless the job says it just once."""
    if (entry.tube is None) == (entry.girth is None):
        both = "both the tube's diameter and its girth" if entry.tube else "no tube"
        raise InputError(f"'{name}' has {both}", place, 'Say tube = "25 mm", or its girth.')
    return entry.tube if entry.tube is not None else (entry.girth or 0.0) / math.pi


def _part(pocket: _Pocket, job: Job) -> Part:
    run, strip, name, entry = pocket.run, pocket.strip, pocket.name, pocket.entry
    count = times_of(run.host.panel)
    stations, bends = run.bends(strip.begin, strip.end)
    reasons = pocket_reasons(name, entry, strip, _inner_seam(pocket), pocket.folds)
    findings = pocket_findings(name, entry, strip, bends, pocket.place)
    rows = 2 * strip.length
    supplies: tuple[Supply, ...] = ()
    if entry.zipped:
        middle = length(zip_line(strip))
        rows += 4 * middle
        supplies = (
            Supply(SupplyKind.ZIP, "zip, coil", (middle + 2 * _TAIL) * count, Measure.LENGTH, name),
            Supply(SupplyKind.SLIDER, "slider", entry.sliders * count, Measure.COUNT, name),
        )
        at_zip = bends / (1 + bends * strip.width / 2)
        snips = zip_snips((stations - strip.begin, at_zip), entry.tape)
        reasons += snip_reasons(name, snips, entry.tape)
        findings += snip_findings(name, snips, entry.tape, pocket.place)
    own = _plan(pocket)
    return Part(
        name,
        PartKind.POCKET,
        plans=(own, *_reinforcements(pocket)),
        on_panels=(OnPanel(run.host.panel.name, marks=_panel_marks(pocket)),),
        seams=seams_along(run, (strip.begin, strip.end), own.panel.name, "inner"),
        runs=run.edges,
        stitching=(StitchRow(name, rows * count, job.said.thread.stitch, 3),),
        supplies=supplies,
        reasons=tuple(reasons),
        findings=tuple(findings),
    )


def _inner_seam(pocket: _Pocket) -> float:
    return pocket.run.allowance or pocket.entry.seam


def _plan(pocket: _Pocket) -> PanelPlan:
    """Give the strip's piece: its inner edges run against the panel's, as they are sewn."""
    strip = pocket.strip
    plain = Allowance("plain", _inner_seam(pocket), 0.0, Corner.SQUARE)
    parts = pieces_of_run(pocket.run, (strip.begin, strip.end), "inner")
    inner = [
        (part.name, reversed_chain(sub_chain(pocket.run.chain, part.begin, part.end)), plain)
        for part in reversed(parts)
    ]
    edges = (*inner, *_ends_and_outer(pocket, strip.inner, strip.outer, (True, True)))
    grain, marks = pocket.run.host.panel.grain, _own_marks(pocket)
    plan = piece_plan(pocket.cloth, pocket.name, edges, grain=grain, marks=marks)
    drawn = zip_lines(strip, _ROWS) if pocket.entry.zipped else []
    reach = pocket.entry.reinforce
    if reach:
        drawn += [line(*strip.across(at)) for at in (reach, strip.length - reach)]
    plan = replace(plan, panel=replace(plan.panel, drawn=tuple(drawn)))
    return as_often_as(pocket.run.host, plan)


def _ends_and_outer(
    pocket: _Pocket, inner: Chain, outer: Chain, hemmed: tuple[bool, bool]
) -> tuple[tuple[str, Chain, Allowance], ...]:
    """Give the three edges of a strip that are not sewn to the panel first; ends raw or hemmed."""
    fold = pocket.entry.end_hem
    raw = Allowance("raw", 0.0, 0.0, Corner.SQUARE)
    hem = Allowance("hem", 2 * fold, fold, Corner.SQUARE) if fold else raw
    start, end = (hem if is_hemmed else raw for is_hemmed in hemmed)
    plain = Allowance("plain", pocket.entry.seam, 0.0, Corner.SQUARE)
    return (
        ("start", line(inner.first, outer.first), start),
        ("outer", outer, plain),
        ("end", line(outer.last, inner.last), end),
    )


def _reinforcements(pocket: _Pocket) -> tuple[PanelPlan, ...]:
    """Give the second ply at both ends: the strip's own shape there, raw where it stops."""
    reach, strip = pocket.entry.reinforce, pocket.strip
    if not reach:
        return ()
    out = []
    for number, (begin, end) in enumerate(((0.0, reach), (strip.length - reach, strip.length))):
        inner = sub_chain(strip.inner, begin, end)
        outer = sub_chain(strip.outer, strip.on_outer(begin), strip.on_outer(end))
        plain = Allowance("plain", _inner_seam(pocket), 0.0, Corner.SQUARE)
        hemmed = (number == 0, number == 1)
        edges = (
            ("inner", reversed_chain(inner), plain),
            *_ends_and_outer(pocket, inner, outer, hemmed),
        )
        name = f"{pocket.name} end {number + 1}"
        plan = piece_plan(pocket.cloth, name, edges, grain=pocket.run.host.panel.grain)
        out.append(as_often_as(pocket.run.host, plan))
    return tuple(out)


def _shared_marks(pocket: _Pocket) -> list[tuple[str, float]]:
    """Give marks that strip and panel share, by stations along the run: the panel's, the centre."""
    strip = pocket.strip
    shared = joined_along(pocket.run, (strip.begin, strip.end))
    centre = (strip.begin + strip.end) / 2
    if all(abs(at - centre) > _CLOSE for _, at in shared):
        shared.append((f"{pocket.name} centre", centre))
    return shared


def _panel_marks(pocket: _Pocket) -> tuple[Mark, ...]:
    """Give what the panel gets: the centre, and where the strip begins and ends inside the run."""
    run, strip, name = pocket.run, pocket.strip, pocket.name
    new = [mark for mark in _shared_marks(pocket) if mark[0] == f"{name} centre"]
    if strip.begin > 1.0:
        new.append((f"{name} start", strip.begin))
    if strip.end < run.length - 1.0:
        new.append((f"{name} end", strip.end))
    return tuple(run.mark_at(*mark) for mark in new)


def _own_marks(pocket: _Pocket) -> tuple[Mark, ...]:
    """Give the strip's marks: the shared ones on both long edges, and where pleats are folded."""
    strip, source = pocket.strip, pocket.run.host.panel.source
    shared = _shared_marks(pocket)
    parts = pieces_of_run(pocket.run, (strip.begin, strip.end), "inner")
    inner = [
        Mark(name, part.name, part.end - at, source)
        for name, at in shared
        for part in parts
        if part.begin <= at < part.end
    ]
    outer = [
        Mark(f"{name}, second seam", "outer", strip.on_outer(at - strip.begin), source)
        for name, at in shared
    ]
    outer += [
        Mark(f"pleat {number + 1} {word}", "outer", strip.on_outer(at) + side, source)
        for number, at in enumerate(pocket.folds)
        for word, side in (("from", -pocket.pleat / 2), ("to", pocket.pleat / 2))
    ]
    whole = length(strip.outer)
    return (*inner, *(mark for mark in outer if 0 < mark.station < whole))
