"""Marks on seams cut into the allowance, square to the net line, where the sewer will see them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain, closed_up, joined, line, polyline
from cutpath.geometry.gaps import gaps
from cutpath.geometry.measure import points_at_stations
from cutpath.geometry.offset import outward_normal
from cutpath.geometry.points import Point, left_of
from cutpath.geometry.rays import ray_hits
from cutpath.geometry.region import union
from cutpath.geometry.soundness import around
from cutpath.model import Edge, Finding, Mark, NotchShape
from cutpath.units import format_length

NARROWEST = 7.0
"""Allowances below this, mm, get a pen tick instead of a notch (derived from the 3 mm below)."""
LEFT_UNCUT = 3.0
"""What stays between a notch and the stitch line, mm (common practice, no source)."""
TICK = 5.0
"""Length of a pen tick inside an edge without allowance, mm."""
_LONGEST_TICK = 10.0
"""How far a tick in the allowance reaches in from the cut line, mm, where there is room."""
_HIDDEN = 2.0
"""Allowances from this width on, mm, hide a tick when they are sewn."""
_HALF_OPENING = 0.5
"""Half a vee's mouth, as a share of its depth."""
_INSIDE = 0.01
"""How far inside the net line the search for the cut line begins, mm: more than rounding."""
_ASTRAY = 0.5
"""A notch must not stand nearer than this to another part of the stitch line than to its own."""
_FLATNESS = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class Notched:
    """A cut line with its marks: knife strokes from the cut line, and pen ticks."""

    cut: Chain
    notches: tuple[Chain, ...]
    ticks: tuple[Chain, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Site:
    """Where a mark meets the cut line: its foot on the net line and the square through it.

    ``allowance`` is how far out the cut line is, None where the square misses it.
    """

    mark: Mark
    foot: Point
    outward: Point
    allowance: float | None
    is_own: bool = True

    @property
    def on_cut(self) -> Point:
        out: Point = self.foot + (self.allowance or 0.0) * self.outward
        return out


def notch_depth(wanted: float, allowance: float) -> float:
    """Give how deep to notch an allowance, mm: never beyond half of it nor near the stitch line.

    0 where the allowance is too narrow to be notched at all.
    """
    if allowance < NARROWEST:
        return 0.0
    return min(wanted, allowance / 2, allowance - LEFT_UNCUT)


def notch(
    cut: Chain, edges: Sequence[Edge], marks: Sequence[Mark], shape: NotchShape, wanted: float
) -> tuple[Notched, tuple[Finding, ...]]:
    """Put every mark on ``cut``: a notch of ``shape`` at most ``wanted`` mm deep, or a pen tick.

    The notch stands where the square through the mark's station on the net line meets the cut
    line. Ticked by pen are the marks of a job that wants no notches, those of narrow allowances,
    and those whose square leads to another edge's allowance, as beside an inward corner.
    """
    sites = _sites(cut, edges, marks)
    strokes: list[Chain] = []
    ticks: list[Chain] = []
    bumps: list[Chain] = []
    for site in sites:
        depth = notch_depth(wanted, site.allowance or 0.0)
        if shape is NotchShape.NONE or not site.is_own or depth <= 0:
            ticks.append(_tick(site))
        elif shape is NotchShape.OUTWARD:
            bumps.append(_bump(site, depth))
        else:
            strokes.append(_stroke(cut, site, depth, shape))
    whole = around(union([cut, *bumps]), cut) if bumps else cut
    findings = () if shape is NotchShape.NONE else _findings(sites)
    return Notched(whole, tuple(strokes), tuple(ticks)), findings


def _sites(cut: Chain, edges: Sequence[Edge], marks: Sequence[Mark]) -> list[_Site]:
    sites = []
    for edge in edges:
        own = [mark for mark in marks if mark.edge == edge.name]
        if not own:
            continue
        feet, tangents = points_at_stations(edge.chain, np.array([mark.station for mark in own]))
        for mark, foot, outward in zip(own, feet, outward_normal(tangents), strict=True):
            hits = ray_hits(cut, foot - _INSIDE * outward, outward)
            out = max(float(hits[0]) - _INSIDE, 0.0) if len(hits) else None
            sites.append(_Site(mark, foot, outward, out))
    if not sites:
        return []
    net = closed_up(joined([edge.chain for edge in edges]))
    near = gaps(np.array([site.on_cut for site in sites]), net, _FLATNESS)
    return [
        replace(site, is_own=site.allowance is not None and near_by >= site.allowance - _ASTRAY)
        for site, near_by in zip(sites, near.tolist(), strict=True)
    ]


def _tick(site: _Site) -> Chain:
    """Draw from the cut line inward; inside the net line where no allowance would hide it."""
    allowance = site.allowance or 0.0
    if allowance < _HIDDEN or not site.is_own:
        return line(site.foot, site.foot - TICK * site.outward)
    return line(site.on_cut, site.on_cut - min(allowance, _LONGEST_TICK) * site.outward)


def _stroke(cut: Chain, site: _Site, depth: float, shape: NotchShape) -> Chain:
    apex = site.on_cut - depth * site.outward
    mouth = _mouth(cut, apex, site.outward, depth) if shape is NotchShape.VEE else None
    if mouth is None:
        return line(site.on_cut, apex)
    return polyline([mouth[0], apex, mouth[1]])


def _mouth(cut: Chain, apex: Point, outward: Point, depth: float) -> tuple[Point, Point] | None:
    """Give where a vee's two sides meet the cut line; None beside a corner, where it has no room.

    They are looked for square above both ends of the mouth, for the cut line may be curved.
    """
    ends = []
    for side in (1.0, -1.0):
        below = apex + side * _HALF_OPENING * depth * left_of(outward)
        hits = ray_hits(cut, below, outward)
        if not len(hits) or abs(float(hits[0]) - depth) > _HALF_OPENING * depth:
            return None
        ends.append(below + float(hits[0]) * outward)
    return ends[0], ends[1]


def _bump(site: _Site, depth: float) -> Chain:
    """Give an outward vee, rooted a little inside the cut line so that it joins it."""
    side = _HALF_OPENING * depth * left_of(site.outward)
    root = 0.25 * depth * site.outward
    on_cut = site.on_cut
    corners = [on_cut + depth * site.outward, on_cut + side, on_cut + side - root]
    corners += [on_cut - side - root, on_cut - side]
    return polyline(corners, closed=True)


def _findings(sites: Sequence[_Site]) -> tuple[Finding, ...]:
    """Tell, once an edge, which marks could not be notched though the edge has an allowance."""
    narrow: dict[str, list[_Site]] = {}
    astray: dict[str, list[_Site]] = {}
    for site in sites:
        if not site.is_own:
            astray.setdefault(site.mark.edge, []).append(site)
        elif site.allowance and _INSIDE < site.allowance < NARROWEST:
            narrow.setdefault(site.mark.edge, []).append(site)
    found = [
        _ticked(edge, some, f"an allowance of {format_length(some[0].allowance or 0.0)} is too "
                "narrow to notch", f"Give the edge {NARROWEST:.0f} mm or more to have it notched.")
        for edge, some in narrow.items()
    ]  # fmt: skip
    found += [
        _ticked(edge, some, "the cut line beside it is another edge's",
                "Move the mark away from the corner to have it notched.")
        for edge, some in astray.items()
    ]  # fmt: skip
    return tuple(found)


def _ticked(edge: str, sites: Sequence[_Site], why: str, remedy: str) -> Finding:
    names = ", ".join(f"'{site.mark.name}'" for site in sites)
    first = sites[0]
    return Finding(
        f"{'mark' if len(sites) == 1 else 'marks'} {names} on edge '{edge}' "
        f"{'is' if len(sites) == 1 else 'are'} ticked by pen: {why}",
        replace(first.mark.source, xy=(float(first.foot[0]), float(first.foot[1]))),
        remedy,
    )
