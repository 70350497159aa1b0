"""A panel too wide for its cloth, split along the warp: two panels, a new seam, marks on both."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, line
from cutpath.geometry.flatten import flatten
from cutpath.geometry.levels import stations_at
from cutpath.geometry.measure import bounds, length, points_at_stations
from cutpath.geometry.points import Floats, Point, direction, left_of
from cutpath.geometry.room import parts_inside
from cutpath.geometry.splitting import sub_chain
from cutpath.geometry.transform import rotation, transformed
from cutpath.model import (
    Allowance,
    Corner,
    Edge,
    EdgeName,
    Finding,
    InnerLoop,
    Mark,
    Panel,
    Seam,
)
from cutpath.panels.seams import seam_letter
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.units import format_length

NEW_EDGE = "split"
_SPACING = 400.0
"""Between marks on a new seam, mm, at most (common practice, no source: 300 to 500)."""
_SAME = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Split:
    """One panel that was split: its ``parts``, and the ``seams`` that join each to the next."""

    panel: str
    parts: tuple[PanelPlan, ...]
    seams: tuple[Seam, ...]

    @property
    def lengths(self) -> tuple[float, ...]:
        """Give the lengths of the seams, mm."""
        return tuple(
            length(part.panel.edge(seam.second.edge).chain)
            for part, seam in zip(self.parts[1:], self.seams, strict=True)
        )

    @property
    def stitching(self) -> float:
        """Give the length of one row along every seam of every such panel, mm."""
        panel = self.parts[0].panel
        return sum(self.lengths) * (panel.count + panel.mirrored)


@dataclass(frozen=True, slots=True, eq=False)
class Splits:
    """Plans with split panels parted, and what was done."""

    plans: tuple[PanelPlan, ...]
    made: tuple[Split, ...]
    findings: tuple[Finding, ...]


def split_plans(plans: Sequence[PanelPlan], job: Job, letters: Collection[str] = ()) -> Splits:
    """Part every panel whose ``split`` the job asks for; ``letters`` are those of other seams.

    Each distance counts across the warp from the panel's net line on the right of its warp. Raises
    InputError for a split that does not cross the panel once from side to side, or that meets a
    window.
    """
    out: list[PanelPlan] = []
    made: list[Split] = []
    findings: list[Finding] = []
    free = (letter for letter in map(seam_letter, itertools.count()) if letter not in letters)
    for plan in plans:
        entry = job.said.panels.get(plan.panel.name)
        if entry is None or not entry.split:
            out.append(plan)
            continue
        split = _split(plan, sorted(entry.split), job, free)
        made.append(split)
        out += split.parts
        names = " and ".join(f"'{part.panel.name}'" for part in split.parts)
        sizes = ", ".join(format_length(each) for each in split.lengths)
        place = job.place("panels", plan.panel.name, "split")
        findings.append(
            Finding(f"panel '{plan.panel.name}' is split into {names}; new seams: {sizes}", place)
        )
    return Splits(tuple(out), tuple(made), tuple(findings))


def _split(plan: PanelPlan, distances: Sequence[float], job: Job, letters: Iterator[str]) -> Split:
    panel = plan.panel
    grain = panel.grain or 0.0
    turned = [transformed(edge.chain, rotation(-grain)) for edge in panel.edges]
    base = min(bounds(chain)[1] for chain in turned)
    parts, seams = [], []
    rest = plan
    for number, distance in enumerate(distances, start=1):
        new = NEW_EDGE if len(distances) == 1 else f"{NEW_EDGE} {number}"
        below, rest = _parted(rest, (grain, base + distance), new, job)
        parts.append(below)
    parts.append(rest)
    parts = [
        replace(part, panel=replace(part.panel, name=f"{panel.name} {chr(96 + number)}"))
        for number, part in enumerate(parts, start=1)
    ]
    for number, (one, other) in enumerate(itertools.pairwise(parts), start=1):
        new = NEW_EDGE if len(distances) == 1 else f"{NEW_EDGE} {number}"
        first, second = EdgeName(one.panel.name, new), EdgeName(other.panel.name, new)
        seams.append(Seam(next(letters), first, second))
    return Split(panel.name, tuple(parts), tuple(seams))


def _parted(
    plan: PanelPlan, cut: tuple[float, float], new: str, job: Job
) -> tuple[PanelPlan, PanelPlan]:
    """Give the plans on the right and on the left of the line at ``cut`` (direction, offset)."""
    panel = plan.panel
    crossings = [
        (index, station)
        for index, edge in enumerate(panel.edges)
        for station in _crossings(edge.chain, cut)
    ]
    if len(crossings) != 2:
        raise InputError(
            f"the split of panel '{panel.name}' crosses its outline {len(crossings)} times",
            job.place("panels", panel.name, "split"),
            "A split crosses it once on each side; choose another distance.",
        )
    up = next(k for k, (index, at) in enumerate(crossings) if _rises(panel.edges[index], at, cut))
    rising, falling = crossings[up], crossings[1 - up]
    plain = job.said.finishes.plain
    fresh = Allowance("plain", plain.width + plain.turn_under, plain.turn_under, Corner.MITRE)
    low = _half(plan, (falling, rising), new, fresh)
    high = _half(plan, (rising, falling), new, fresh)
    return (
        _with_contents(plan, low, cut, left=False, job=job),
        _with_contents(plan, high, cut, left=True, job=job),
    )


def _height(points: Floats, cut: tuple[float, float]) -> Floats:
    """Give how far each of (m, 2) points lies to the left of the line."""
    grain, offset = cut
    return np.asarray(points @ left_of(direction(grain)) - offset)


def _crossings(chain: Chain, cut: tuple[float, float]) -> list[float]:
    """Give the stations at which an open chain crosses the line."""
    return stations_at(chain, left_of(direction(cut[0])), cut[1])


def _rises(edge: Edge, station: float, cut: tuple[float, float]) -> bool:
    near = np.clip(np.array([station - 0.01, station + 0.01]), 0.0, length(edge.chain))
    before, after = _height(points_at_stations(edge.chain, near)[0], cut)
    return bool(after > before)


def _half(
    plan: PanelPlan,
    ends: tuple[tuple[int, float], tuple[int, float]],
    new: str,
    fresh: Allowance,
) -> PanelPlan:
    """Give the part that runs from the first of ``ends`` round to the second, then straight back.

    Marks inside and on the new edge are still the whole panel's.
    """
    (first, begin), (last, end) = ends
    panel, count = plan.panel, len(plan.panel.edges)
    edges: list[Edge] = []
    allowances, corners, shifts = [], [], []
    index, start = first, begin
    while True:
        chain = panel.edges[index].chain
        is_last = index == last and (index != first or start < end or bool(edges))
        stop = end if is_last else length(chain)
        if stop - start > _SAME:
            edges.append(Edge(panel.edges[index].name, sub_chain(chain, start, stop)))
            allowances.append(plan.allowances[index])
            corners.append(plan.corners[index] if start == 0 else None)
            shifts.append((panel.edges[index].name, start, stop))
        if is_last:
            break
        index, start = (index + 1) % count, 0.0
    edges.append(Edge(new, line(edges[-1].chain.last, edges[0].chain.first)))
    corners[0] = None
    allowances.append(fresh)
    marks = tuple(
        replace(mark, station=mark.station - low)
        for mark in panel.marks
        for name, low, high in shifts
        if mark.edge == name and low <= mark.station <= high
    )
    part = replace(panel, edges=tuple(edges), marks=marks)
    return replace(plan, panel=part, allowances=tuple(allowances), corners=(*corners, None))


def _with_contents(
    whole: PanelPlan, half: PanelPlan, cut: tuple[float, float], *, left: bool, job: Job
) -> PanelPlan:
    """Give the part with its own windows, drill marks and lines, and marks on the new seam."""
    outline = half.panel.outline
    panel = whole.panel
    new = half.panel.edges[-1]
    inner = tuple(loop for loop in panel.inner if _side(loop, panel, cut, job) is left)
    drills = tuple(
        drill for drill in panel.drills if bool(_height(drill.xy[None], cut)[0] > 0) is left
    )
    drawn = tuple(part for chain in panel.drawn for part in _drawn_inside(chain, outline))
    marks = half.panel.marks + _new_marks(new, panel, left=left)
    level = whole.keep_level if any(m.name == whole.keep_level for m in marks) else None
    part = replace(half.panel, inner=inner, drills=drills, drawn=drawn, marks=marks)
    return replace(half, panel=part, keep_level=level)


def _side(loop: InnerLoop, panel: Panel, cut: tuple[float, float], job: Job) -> bool:
    """Tell whether a window lies left of the split; one that it meets is refused."""
    sides = _height(flatten(loop.chain, 0.1).points, cut) > 0
    if sides.any() and not sides.all():
        at: Point = flatten(loop.chain, 0.1).points[0]
        raise InputError(
            f"the split of panel '{panel.name}' meets the window or opening '{loop.name}'",
            replace(panel.source, xy=(float(at[0]), float(at[1]))),
            f"Choose another distance in split of [panels.{panel.name}].",
        )
    return bool(sides.all())


def _drawn_inside(chain: Chain, outline: Chain) -> tuple[Chain, ...]:
    parts = parts_inside(chain, outline) if not chain.closed else ()
    whole = length(chain)
    if chain.closed or (len(parts) == 1 and abs(length(parts[0]) - whole) < 0.01):
        middle, _ = points_at_stations(chain, np.array([whole / 2]))
        tiny = line(middle[0] - 0.1, middle[0] + 0.1)
        return (chain,) if parts_inside(tiny, outline) else ()
    return parts


def _new_marks(edge: Edge, panel: Panel, *, left: bool) -> tuple[Mark, ...]:
    """Give the marks of a new seam, at the same places on both sides.

    One interval is shorter than the others, so that a part cannot be sewn on end for end.
    """
    whole = length(edge.chain)
    count = max(math.ceil(whole / _SPACING - 1e-6), 2)
    stations = whole * (np.arange(1, count) - 0.1) / (count - 0.1)
    # The lower part's new edge runs against the warp's side of the upper one's.
    along = stations if left else whole - stations
    return tuple(
        Mark(f"{edge.name}-{number}", edge.name, float(station), panel.source)
        for number, station in enumerate(along, start=1)
    )
