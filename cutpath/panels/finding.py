"""A sorted, healed drawing to panels: the job's words about names and corners applied."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, reversed_chain
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats, as_points
from cutpath.model import (
    Curve,
    Drawing,
    Drill,
    Edge,
    Finding,
    Inner,
    InnerLoop,
    Mark,
    Panel,
    Sort,
)
from cutpath.panels.edges import corner_stations, side_names, split_at, whole_loop
from cutpath.panels.gathering import Belongings, Dot, gather
from cutpath.panels.marks import Found, marks_and_drills
from cutpath.panels.naming import Label, label_of, named_apart, names_on
from cutpath.settings.job import Job
from cutpath.settings.job_file import PanelEntry
from cutpath.settings.nearest_word import nearest_word

_NOTHING_SAID = PanelEntry()


def find_panels(
    drawing: Drawing, loops: Sequence[Curve], open_curves: Sequence[Curve], job: Job
) -> tuple[tuple[Panel, ...], tuple[Finding, ...]]:
    """Find the panels of a sorted drawing whose outlines have been healed.

    ``loops`` are its closed curves, ``open_curves`` those that stay open. Panels come in reading
    order; names are the job's where it gives any.

    Raises InputError for a drawing without an outline, a stray open curve, and for panels, edges
    and marks that the job names but the drawing has not.
    """
    owned, findings = gather(drawing, loops, open_curves)
    owned = _in_reading_order(owned)
    labels = [label_of(share, is_exchange=drawing.is_exchange) for share in owned]
    drawn_names, nameless = named_apart(labels, owned)
    job_names = _job_names(drawn_names, job)
    panels = []
    for share, label, drawn in zip(owned, labels, drawn_names, strict=True):
        name = job_names.get(drawn, drawn)
        panels.append(_Maker(share, label, name, job).panel())
    return tuple(panels), (*findings, *nameless)


def _in_reading_order(owned: Sequence[Belongings]) -> list[Belongings]:
    """Order panels in rows from the top, each from the left."""
    boxes = {id(share): bounds(share.loop.chain) for share in owned}
    left = sorted(owned, key=lambda share: (-boxes[id(share)][3], boxes[id(share)][0]))
    out: list[Belongings] = []
    row: list[Belongings] = []
    floor = math.inf
    for share in left:
        _, low, _, high = boxes[id(share)]
        if row and (low + high) / 2 < floor:
            out += sorted(row, key=lambda member: boxes[id(member)][0])
            row = []
        if not row:
            floor = low
        row.append(share)
    return out + sorted(row, key=lambda member: boxes[id(member)][0])


def _job_names(drawn_names: Sequence[str], job: Job) -> dict[str, str]:
    """Give the job's name for each panel of the drawing that the job speaks of."""
    out: dict[str, str] = {}
    for name, entry in job.said.panels.items():
        key = ("panels", name, "from") if entry.from_ is not None else ("panels", name)
        wanted = entry.from_ if entry.from_ is not None else name
        drawn = matched(wanted, drawn_names)
        if drawn is None:
            raise InputError(
                f"the drawing has no panel '{wanted}'",
                job.place(*key),
                nearest_word(wanted, drawn_names),
            )
        if drawn in out:
            raise InputError(
                f"panel '{drawn}' is already '{out[drawn]}'",
                job.place(*key),
                'Speak of each panel once; "count" and "mirrored" ask for more of it.',
            )
        out[drawn] = name
    final = [out.get(drawn, drawn) for drawn in drawn_names]
    for name in out.values():
        if final.count(name) > 1:
            raise InputError(
                f"two panels would be called '{name}'",
                job.place("panels", name),
                "The drawing has another panel of this name: choose a different one.",
            )
    return out


def matched(wanted: str, names: Iterable[str]) -> str | None:
    """Give ``wanted`` as it is among ``names``, or the only one that differs by letter case."""
    known = list(names)
    if wanted in known:
        return wanted
    alike = [name for name in known if name.casefold() == wanted.casefold()]
    return alike[0] if len(alike) == 1 else None


@dataclass(frozen=True, slots=True, eq=False)
class _Maker:
    """One panel in the making."""

    owned: Belongings
    label: Label
    name: str
    job: Job

    @property
    def entry(self) -> PanelEntry:
        """Give what the job says of the panel."""
        return self.job.said.panels.get(self.name, _NOTHING_SAID)

    def panel(self) -> Panel:
        """Trace the outline into edges and put on it what belongs there."""
        loop = self.owned.loop.chain
        turns = as_points([spot.xy for spot in self.owned.turns])
        corners = corner_stations(loop, turns, self.job.said.corner_angle)
        edges = split_at(loop, corners)
        loop = whole_loop(edges)
        marks, drills = marks_and_drills(loop, self.owned)
        at = as_points([mark.xy for mark in marks])
        names = _mark_names(len(marks), names_on(self.owned, self.label.text, edges, at).marks)
        extra = self._extra_corners(marks, names)
        if extra:
            starts = np.cumsum([0.0, *(length(edge) for edge in edges[:-1])])
            stations = np.concatenate(
                [starts if len(corners) else [], [marks[number].station for number in extra]]
            )
            edges = split_at(loop, stations)
            keep = [number for number in range(len(marks)) if number not in extra]
            marks = [marks[number] for number in keep]
            names = [names[number] for number in keep]
            marks, names = _relocated(whole_loop(edges), marks, names)
            at = as_points([mark.xy for mark in marks])
        edge_names = self._edge_names(edges, names_on(self.owned, self.label.text, edges, at).edges)
        return self._put_together(
            edges, edge_names, _on_edges(edges, edge_names, marks, names), drills
        )

    def _put_together(
        self,
        chains: Sequence[Chain],
        names: Sequence[str],
        marks: tuple[Mark, ...],
        drills: Sequence[Dot],
    ) -> Panel:
        entry, label = self.entry, self.label
        return Panel(
            name=self.name,
            edges=tuple(Edge(*pair) for pair in zip(names, chains, strict=True)),
            marks=marks,
            inner=tuple(self._inner()),
            drills=tuple(Drill(f"d{number}", dot.xy) for number, dot in enumerate(drills, 1)),
            drawn=tuple(line.chain for line in self.owned.drawn),
            grain=entry.grain if entry.grain is not None else _grain(self.owned.grain),
            count=entry.count if entry.count is not None else label.count,
            mirrored=entry.mirrored if entry.mirrored is not None else label.mirrored,
            material=label.material,
            source=self.owned.loop.source,
        )

    def _inner(self) -> Iterable[InnerLoop]:
        for number, hole in enumerate(self.owned.holes, 1):
            chain = hole.chain if signed_area(hole.chain) < 0 else reversed_chain(hole.chain)
            use = Inner.CUT
            if hole.sort is not Sort.CUTOUT and self.entry.inner is not None:
                use = self.entry.inner
            yield InnerLoop(f"inner-{number}", chain, use)

    def _extra_corners(self, marks: Sequence[Found], names: Sequence[str]) -> list[int]:
        out = []
        for number, word in enumerate(self.entry.corners):
            name = matched(word, names)
            if name is None:
                raise InputError(
                    f"panel '{self.name}' has no mark '{word}'",
                    self.job.place("panels", self.name, "corners", number),
                    nearest_word(word, names) or "The drawing has no marks on this panel.",
                )
            out.append(names.index(name))
        return out

    def _edge_names(self, edges: Sequence[Chain], written: Mapping[int, str]) -> list[str]:
        """Give each edge its name: the job's, else the drawing's, else the side it faces."""
        names = [written.get(number, side) for number, side in enumerate(side_names(edges))]
        names = _apart(names)
        out = list(names)
        for new, said in self.entry.edges.items():
            wanted = said.is_ if said.is_ is not None else new
            key = ("panels", self.name, "edges", new)
            old = matched(wanted, names)
            if old is None:
                raise InputError(
                    f"panel '{self.name}' has no edge '{wanted}'",
                    self.job.place(*key, *(("is",) if said.is_ is not None else ())),
                    nearest_word(wanted, names),
                )
            out[names.index(old)] = new
        for new in self.entry.edges:
            if out.count(new) > 1:
                raise InputError(
                    f"panel '{self.name}' would have two edges called '{new}'",
                    self.job.place("panels", self.name, "edges", new),
                    f"Choose another name. Its edges: {', '.join(names)}.",
                )
        return out


def _relocated(
    loop: Chain, marks: Sequence[Found], names: Sequence[str]
) -> tuple[list[Found], list[str]]:
    """Find the marks again on an outline that begins elsewhere."""
    if not marks:
        return [], []
    stations = nearest(loop, as_points([mark.xy for mark in marks])).station
    order = np.argsort(stations, kind="stable")
    placed = [replace(marks[row], station=float(stations[row])) for row in order]
    return placed, [names[row] for row in order]


def _mark_names(count: int, written: Mapping[int, str]) -> list[str]:
    """Give each mark its written name, else m1, m2 … along the outline; equal ones are numbered."""
    names, number = [], 0
    taken = set(written.values())
    for index in range(count):
        if index in written:
            names.append(written[index])
            continue
        number += 1
        while f"m{number}" in taken:
            number += 1
        names.append(f"m{number}")
    return _apart(names)


def _apart(names: Sequence[str]) -> list[str]:
    """Give equal names numbers as they come: front-1, front-2."""
    out: list[str] = []
    taken = set(names)
    for name in names:
        if names.count(name) == 1:
            out.append(name)
            continue
        number = 1
        while f"{name}-{number}" in taken:
            number += 1
        taken.add(f"{name}-{number}")
        out.append(f"{name}-{number}")
    return out


def _on_edges(
    chains: Sequence[Chain], edge_names: Sequence[str], marks: Sequence[Found], names: Sequence[str]
) -> tuple[Mark, ...]:
    """Turn stations along the outline into stations along its edges."""
    lengths = [length(chain) for chain in chains]
    starts: Floats = np.cumsum([0.0, *lengths[:-1]])
    out = []
    for mark, name in zip(marks, names, strict=True):
        edge = max(int(np.searchsorted(starts, mark.station + 1e-6, side="right")) - 1, 0)
        along = min(max(mark.station - float(starts[edge]), 0.0), lengths[edge])
        out.append(Mark(name, edge_names[edge], along, mark.source))
    return tuple(out)


def _grain(lines: Sequence[Curve]) -> float | None:
    """Give the direction of the longest grain line, from its start to its end."""
    usable = [line.chain for line in lines if not line.chain.closed]
    if not usable:
        return None
    longest = max(usable, key=length)
    run = longest.last - longest.first
    return math.atan2(float(run[1]), float(run[0]))
