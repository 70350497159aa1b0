"""Snips and vees by which a curved allowance opens, or lies flat, when it is turned."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain, line, polyline
from cutpath.geometry.curvature import curvatures_at
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.offset import outward_normal
from cutpath.geometry.points import Floats, Point
from cutpath.geometry.rays import ray_hits
from cutpath.model import Allowance, Edge, Mark

FLAT = 0.5
"""How far a stretch between snips may lie beside the curve, mm (common practice, no source)."""
LEAST_STRAIN = 0.02
"""An allowance this much shorter or longer than its stitch line lies flat (from memory)."""
LEFT_UNCUT = 3.0
"""What stays between a snip and the stitch line, mm (common practice, no source)."""
_CLEAR_OF_MARK = 5.0
_EVERY = 2.0
_ASTRAY = 1.5
_HOLE_ROOM = 6.0


def spacing(radius: float, flat: float = FLAT) -> float:
    """Give how far apart snips stand on a bend: √(8 r ε), the chord whose sagitta is ε."""
    return math.sqrt(8 * radius * flat)


def depth(allowance: float) -> float:
    """Give how deep a snip goes: three quarters of the allowance, 3 mm off the stitch line."""
    return max(min(0.75 * allowance, allowance - LEFT_UNCUT), 0.0)


def snips(
    cut: Chain,
    edges: Sequence[Edge],
    allowances: Sequence[Allowance],
    marks: Sequence[Mark],
    *,
    vees: bool,
) -> tuple[Chain, ...]:
    """Give knife strokes from ``cut`` inward wherever an edge bends enough for its allowance.

    Inward bends get snips, for the allowance's edge is too short to be turned; outward ones with
    ``vees`` a vee as wide as what would ripple, 2 a s / r. Hems are left alone, and so are places
    near marks, which have notches of their own.
    """
    out: list[Chain] = []
    for edge, allowance in zip(edges, allowances, strict=True):
        if allowance.turn_under > 0 or depth(allowance.width) < 1.0:
            continue
        taken = np.array([mark.station for mark in marks if mark.edge == edge.name])
        for station, bend in _places(edge.chain, allowance.width, taken, vees=vees):
            stroke = _stroke(cut, edge.chain, station, bend, allowance.width)
            if stroke is not None:
                out.append(stroke)
    return tuple(out)


def _places(
    chain: Chain, allowance: float, taken: Floats, *, vees: bool
) -> list[tuple[float, float]]:
    """Give stations and curvatures where a stroke is wanted, from the edge's start."""
    whole = length(chain)
    stations = np.linspace(0.0, whole, max(3, math.ceil(whole / _EVERY) + 1))
    bends = curvatures_at(chain, stations)
    out: list[tuple[float, float]] = []
    following = 0.0
    for station, bend in zip(stations.tolist(), bends.tolist(), strict=True):
        is_wanted = abs(bend) * allowance > LEAST_STRAIN and (bend < 0 or vees)
        step = spacing(1 / abs(bend)) if is_wanted else 0.0
        if not is_wanted or station < following or not step / 2 < station < whole - step / 2:
            continue
        if len(taken) and np.abs(taken - station).min() < _CLEAR_OF_MARK:
            continue
        out.append((station, bend))
        following = station + step
    return out


def _stroke(
    cut: Chain, chain: Chain, station: float, bend: float, allowance: float
) -> Chain | None:
    """Give one snip or vee from the cut line, or None where the square leads elsewhere."""
    at, along = points_at_stations(chain, np.array([station]))
    outward = outward_normal(along)[0]
    hits = ray_hits(cut, at[0] + 0.01 * outward, outward)
    if not len(hits) or abs(hits[0] + 0.01 - allowance) > _ASTRAY:
        return None
    mouth = at[0] + (hits[0] + 0.01) * outward
    tip = mouth - depth(allowance) * outward
    if bend < 0:
        return line(mouth, tip)
    half = allowance * spacing(1 / bend) * bend
    sides = []
    for side in (-1, 1):
        foot, way = points_at_stations(chain, np.array([station + side * half]))
        normal = outward_normal(way)[0]
        found = ray_hits(cut, foot[0] + 0.01 * normal, normal)
        if not len(found):
            return None
        sides.append(foot[0] + (found[0] + 0.01) * normal)
    return polyline([sides[0], tip, sides[1]])


def marks_for_both_faces(
    edges: Sequence[Edge], allowances: Sequence[Allowance], marks: Sequence[Mark]
) -> tuple[Point, ...]:
    """Give where marks are drilled so that both faces show them: in the middle of the allowance.

    There sewing hides the hole. Allowances below 6 mm have no room for one.
    """
    out: list[Point] = []
    for edge, allowance in zip(edges, allowances, strict=True):
        if allowance.width < _HOLE_ROOM:
            continue
        for mark in marks:
            if mark.edge == edge.name:
                at, along = points_at_stations(edge.chain, np.array([mark.station]))
                out.append(at[0] + allowance.width / 2 * outward_normal(along)[0])
    return tuple(out)
