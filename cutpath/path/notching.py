"""Marks on seams cut into the allowance, square to the net line, where the sewer will see them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.chain import Chain, line, polyline
from cutpath.geometry.measure import points_at_stations, signed_area
from cutpath.geometry.offset import outward_normal
from cutpath.geometry.points import Point, left_of
from cutpath.geometry.rays import ray_hits
from cutpath.geometry.region import largest, union
from cutpath.model import Edge, Finding, Mark, NotchShape

NARROWEST = 7.0
"""Allowances below this, mm, get a pen tick instead of a notch (derived from the 3 mm below)."""
LEFT_UNCUT = 3.0
"""What stays between a notch and the stitch line, mm (common practice, no source)."""
TICK = 5.0
"""Length of a pen tick, mm."""
_HALF_OPENING = 0.5
"""Half a vee's mouth, as a share of its depth."""


@dataclass(frozen=True, slots=True, eq=False)
class Notched:
    """A cut line with its marks: knife strokes from the cut line, pen ticks on the net line."""

    cut: Chain
    notches: tuple[Chain, ...]
    ticks: tuple[Chain, ...]


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
    line. A mark whose square misses the cut line is told as a finding and ticked by pen.
    """
    chains = {edge.name: edge.chain for edge in edges}
    strokes: list[Chain] = []
    ticks: list[Chain] = []
    bumps: list[Chain] = []
    findings: list[Finding] = []
    for mark in marks:
        points, tangents = points_at_stations(chains[mark.edge], np.array([mark.station]))
        foot, outward = points[0], outward_normal(tangents[0])
        hits = ray_hits(cut, foot, outward)
        allowance = float(hits[0]) if len(hits) else 0.0
        if not len(hits):
            findings.append(_missed(mark, foot))
        depth = notch_depth(wanted, allowance) if shape is not NotchShape.NONE else 0.0
        if depth <= 0:
            ticks.append(line(foot, foot - TICK * outward))
            continue
        on_cut = foot + allowance * outward
        if shape is NotchShape.OUTWARD:
            bumps.append(_bump(on_cut, outward, depth))
        else:
            strokes.append(_stroke(on_cut, outward, depth, shape))
    whole = largest(union([cut, *bumps])) if bumps else cut
    return Notched(whole, tuple(strokes), tuple(ticks)), tuple(findings)


def _stroke(on_cut: Point, outward: Point, depth: float, shape: NotchShape) -> Chain:
    apex = on_cut - depth * outward
    if shape is NotchShape.SLIT:
        return line(on_cut, apex)
    side = _HALF_OPENING * depth * left_of(outward)
    return polyline([on_cut + side, apex, on_cut - side])


def _bump(on_cut: Point, outward: Point, depth: float) -> Chain:
    """Give an outward vee, rooted a little inside the cut line so that it joins it."""
    side = _HALF_OPENING * depth * left_of(outward)
    root = 0.25 * depth * outward
    corners = [on_cut + depth * outward, on_cut + side, on_cut + side - root]
    corners += [on_cut - side - root, on_cut - side]
    loop = polyline(corners, closed=True)
    return loop if signed_area(loop) > 0 else polyline(corners[::-1], closed=True)


def _missed(mark: Mark, foot: Point) -> Finding:
    return Finding(
        f"mark '{mark.name}' on edge '{mark.edge}' has no allowance outside; it is ticked by pen",
        Source(
            file=mark.source.file,
            layer=mark.source.layer,
            entity=mark.source.entity,
            xy=(float(foot[0]), float(foot[1])),
        ),
        "Move the mark away from the corner if it should be notched.",
    )
