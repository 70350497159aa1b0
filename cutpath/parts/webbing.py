"""Straps of webbing: cut lengths from finished ones, places on panels, what they take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, opened, polyline
from cutpath.geometry.measure import length
from cutpath.geometry.offset import band
from cutpath.geometry.points import Point
from cutpath.geometry.room import parts_inside
from cutpath.part_model import (
    Measure,
    OnPanel,
    Part,
    PartKind,
    Reason,
    StitchRow,
    Supply,
    SupplyKind,
    WebbingPiece,
)
from cutpath.parts.laying_on import plan_named, times_of
from cutpath.parts.spots import spots_named
from cutpath.parts.webbing_lengths import (
    KERF,
    StrapLengths,
    box_stitching,
    strap_lengths,
    tab_lengths,
)
from cutpath.parts.webbing_words import (
    heat_reasons,
    length_reason,
    mark_reasons,
    require_sealable,
    warnings,
)
from cutpath.settings.job import Job
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.part_tables.webbing import WebbingEntry, WebbingKind

_ALONG_EDGES = 2
"""Rows that hold a strap on its panel, one along each edge (common practice, no source)."""


def webbings(plans: Sequence[PanelPlan], job: Job) -> tuple[Part, ...]:
    """Give a part for each ``[[webbing]]``.

    Raises InputError for an unknown kind, panel or place, for a path that nothing is left of, and
    for heat on what it must not touch.
    """
    return tuple(_strap(index, entry, plans, job) for index, entry in enumerate(job.said.webbing))


def _strap(index: int, entry: WebbingEntry, plans: Sequence[PanelPlan], job: Job) -> Part:
    kind = _kind(index, entry, job)
    require_sealable(index, entry, kind, job)
    place = job.place("webbing", index, "panel")
    host = None if entry.panel is None else plan_named(plans, entry.panel, place)
    name = entry.name or f"webbing {index + 1}"
    path = _path(index, entry, host, job) if entry.path else None
    lengths = strap_lengths(entry, kind, entry.length or _steps(path))
    if max(lengths.backs) > lengths.finished:
        raise InputError(
            f"'{name}' is {lengths.finished:.1f} mm long when finished, and "
            f"{max(lengths.backs):g} mm cannot be turned back on it",
            job.place("webbing", index, "turn_backs"),
            "Turn back less, or make it longer.",
        )
    sewn = _Sewn.on(host, path, kind.width) if host and path is not None else None
    if sewn is not None and sewn.run == 0:
        raise InputError(
            f"no part of the path of '{name}' lies on panel '{entry.panel}'",
            job.place("webbing", index, "path"),
            "Look at its places: they are in the drawing's mm.",
        )
    panels = times_of(host.panel) if host else 1
    pieces = _pieces(name, entry, kind, lengths, panels)
    return Part(
        name,
        PartKind.WEBBING,
        on_panels=(OnPanel(host.panel.name, drawn=sewn.drawn if sewn else ()),) if host else (),
        webbing=pieces,
        stitching=_stitching(name, pieces, sewn, entry.count * panels, job),
        supplies=_supplies(name, kind, pieces, entry.buckles * entry.count * panels),
        reasons=_reasons(name, entry, kind, lengths, panels),
        findings=warnings(name, entry, kind, job.place("webbing", index)),
    )


def _kind(index: int, entry: WebbingEntry, job: Job) -> WebbingKind:
    known = job.said.webbings
    if entry.of not in known:
        raise InputError(
            f"there is no webbing '{entry.of}'",
            job.place("webbing", index, "of"),
            nearest_word(entry.of, known)
            or f'Add [webbings.{entry.of}] with fibre = "polyester" and its width.',
        )
    return known[entry.of]


def _path(index: int, entry: WebbingEntry, host: PanelPlan | None, job: Job) -> Chain:
    """Give the line through the path's places. Raises InputError for one that is not there."""
    key = job.place("webbing", index, "path")
    spots: list[Point] = []
    for words in entry.path:
        if isinstance(words, str):
            assert host is not None  # the settings see to that
            spots += spots_named(words, host, key)
        else:
            spots.append(np.array(words, dtype=float))
    steps = np.hypot(*np.diff(np.array(spots), axis=0).T)
    if len(spots) < 2 or steps.min() < 1.0:
        raise InputError(
            f"two places of the path of '{entry.name or entry.of}' are one", key,
            "Name places that lie apart, in the order in which the strap runs.",
        )  # fmt: skip
    return polyline(np.array(spots))


def _steps(path: Chain | None) -> float:
    return 0.0 if path is None else length(path)


@dataclass(frozen=True, slots=True, eq=False)
class _Sewn:
    """A strap on its panel: both its edges for the pen, and how far it runs there, mm."""

    drawn: tuple[Chain, ...]
    run: float

    @classmethod
    def on(cls, host: PanelPlan, path: Chain, width: float) -> _Sewn:
        net = host.panel.outline
        run = sum(length(part) for part in parts_inside(path, net))
        return cls(parts_inside(opened(band(path, width / 2)), net), run)


def _pieces(
    name: str, entry: WebbingEntry, kind: WebbingKind, lengths: StrapLengths, panels: int
) -> tuple[WebbingPiece, ...]:
    count = entry.count * panels
    strap = WebbingPiece(
        name, entry.of, kind.width, lengths.cut, count, lengths.folds, entry.sealed, lengths.boxes
    )
    if not entry.buckles:
        return (strap,)
    tab = tab_lengths(entry, kind)
    return strap, WebbingPiece(
        f"{name} tab", entry.of, kind.width, tab.cut, count * entry.buckles, tab.folds,
        entry.sealed, tab.boxes,
    )  # fmt: skip


def _stitching(
    name: str, pieces: Sequence[WebbingPiece], sewn: _Sewn | None, count: int, job: Job
) -> tuple[StitchRow, ...]:
    stitch = job.said.thread.stitch
    boxes = sum(piece.count * box_stitching(piece.width, piece.boxes) for piece in pieces)
    rows = [StitchRow(name, boxes, stitch, 4)] if boxes else []
    if sewn is not None:
        rows.append(StitchRow(name, _ALONG_EDGES * sewn.run * count, stitch, 3))
    return tuple(rows)


def _supplies(
    name: str, kind: WebbingKind, pieces: Sequence[WebbingPiece], buckles: int
) -> tuple[Supply, ...]:
    run = sum((piece.length + KERF) * piece.count for piece in pieces)
    webbing = Supply(SupplyKind.WEBBING, title_of(kind), run, Measure.LENGTH, name)
    if not buckles:
        return (webbing,)
    title = f"buckle for webbing of {kind.width:g} mm"
    return webbing, Supply(SupplyKind.FASTENER, title, buckles, Measure.COUNT, name)


def title_of(kind: WebbingKind) -> str:
    """Give the webbing's name as it is ordered."""
    return kind.name or f"{kind.fibre.value} webbing {kind.width:g} mm"


def _reasons(
    name: str, entry: WebbingEntry, kind: WebbingKind, lengths: StrapLengths, panels: int
) -> tuple[Reason, ...]:
    count = Reason(
        name, "count", entry.count * panels, "", f"{entry.count} for each of {panels} panels",
        "said in the job",
    )  # fmt: skip
    finished = "said in the job" if entry.length else f"{len(entry.path)} places, step by step"
    out = [
        Reason(name, "finished length", lengths.finished, "mm", finished, "plane geometry"),
        length_reason(name, "cut length", lengths, entry.bar, kind.thickness),
        *mark_reasons(name, lengths),
        *((count,) if panels > 1 else ()),
    ]
    if entry.buckles:
        tab = tab_lengths(entry, kind)
        told = length_reason(name, "tab of a buckle", tab, entry.buckle_bar, kind.thickness)
        out += [told, *mark_reasons(f"{name} tab", tab)]
    return (*out, *(heat_reasons(name, kind) if entry.sealed else ()))
