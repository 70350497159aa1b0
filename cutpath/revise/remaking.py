"""A pair made alike: the mean of both, or one as the mirror image of the other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutpath.geometry.blending import mean_chain
from cutpath.geometry.chain import Chain, closed_up, opened, reversed_chain, started_at
from cutpath.geometry.measure import bounds, length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats, Point
from cutpath.geometry.splitting import with_joints_at
from cutpath.geometry.transform import Matrix, moved_points, transformed
from cutpath.model import Drill, Edge, InnerLoop, Mark, Panel
from cutpath.revise.laying import Laid, like_marks, turned_edges

MARK_REACH = 40.0
"""Marks of a pair farther apart than this, mm, are not the same mark."""
_INNER_REACH = 60.0
_DRILL_REACH = 20.0


def mirrored_from(first: Panel, second: Panel, laid: Laid) -> Panel:
    """Give ``second`` as the exact mirror image of ``first``, where it lies and by its own names.

    Its own name, edge and mark names, grain unless unsaid, and counts stay.
    """
    back = _inverse(laid.motion)
    edges = list(second.edges)
    for number, partner in enumerate(laid.partner):
        chain = reversed_chain(transformed(first.edges[number].chain, back))
        edges[partner] = Edge(second.edges[partner].name, chain)
    marks = _mirrored_marks(first, second, laid)
    return replace(
        second,
        edges=tuple(edges),
        marks=marks,
        inner=tuple(
            replace(loop, chain=reversed_chain(transformed(loop.chain, back)))
            for loop in first.inner
        ),
        drills=tuple(replace(drill, xy=_moved(drill.xy, back)) for drill in first.drills),
        drawn=tuple(transformed(line, back) for line in first.drawn),
        grain=_mirrored_angle(first.grain, back) if second.grain is None else second.grain,
    )


def both_meant(first: Panel, second: Panel, laid: Laid) -> tuple[Panel, Panel]:
    """Give both panels with the mean of both as their outline, one the mirror image of the other.

    Windows and drill marks that lie near each other are meant too; pen lines stay as drawn.
    """
    turned = turned_edges(second, laid)
    edges, marks = [], []
    for number, (edge, other) in enumerate(zip(first.edges, turned, strict=True)):
        pairs = _pairs_on(first, second, laid, number)
        size = length(other)
        knots = np.array([[a.station, size - b.station] for a, b in pairs]).reshape(-1, 2)
        ordered = bool((np.diff(knots, axis=0) > 0).all())
        mean = mean_chain(edge.chain, other, knots if ordered else None)
        edges.append(Edge(edge.name, mean))
        marks += _mean_marks(first, edge, mean, pairs, other)
    meant = replace(
        first,
        edges=tuple(edges),
        marks=tuple(marks),
        inner=_mean_inner(first, second, laid.motion),
        drills=_mean_drills(first, second, laid.motion),
    )
    image = mirrored_from(meant, second, laid)
    return meant, replace(image, drawn=second.drawn, grain=second.grain)


def _marks_on(panel: Panel, edge: str) -> list[Mark]:
    return [mark for mark in panel.marks if mark.edge == edge]


def _pairs_on(first: Panel, second: Panel, laid: Laid, number: int) -> list[tuple[Mark, Mark]]:
    edge, partner = first.edges[number], second.edges[laid.partner[number]]
    sizes = (length(edge.chain), length(partner.chain))
    ones, others = _marks_on(first, edge.name), _marks_on(second, partner.name)
    return like_marks(ones, others, sizes, MARK_REACH)


def _mean_marks(
    panel: Panel, edge: Edge, mean: Chain, pairs: Sequence[tuple[Mark, Mark]], other: Chain
) -> list[Mark]:
    """Put each matched mark half-way between both places, others where the mean is nearest."""
    size = length(other)
    partner = {id(mark): size - twin.station for mark, twin in pairs}
    out = []
    for mark in _marks_on(panel, edge.name):
        place, _ = points_at_stations(edge.chain, np.array([mark.station]))
        if id(mark) in partner:
            there, _ = points_at_stations(other, np.array([partner[id(mark)]]))
            place = (place + there) / 2
        out.append(replace(mark, station=float(nearest(mean, place).station[0])))
    return out


def _mirrored_marks(first: Panel, second: Panel, laid: Laid) -> tuple[Mark, ...]:
    out: list[Mark] = []
    for number, edge in enumerate(first.edges):
        called = {id(mark): twin.name for mark, twin in _pairs_on(first, second, laid, number)}
        size = length(edge.chain)
        name = second.edges[laid.partner[number]].name
        out += [
            Mark(called.get(id(mark), mark.name), name, size - mark.station, mark.source)
            for mark in reversed(_marks_on(first, edge.name))
        ]
    return tuple(out)


def _mean_inner(first: Panel, second: Panel, motion: Matrix) -> tuple[InnerLoop, ...]:
    turned = [reversed_chain(transformed(loop.chain, motion)) for loop in second.inner]
    out = []
    for loop in first.inner:
        near = [(_apart(loop.chain, other), number) for number, other in enumerate(turned)]
        gap, number = min(near, default=(math.inf, 0))
        if gap <= _INNER_REACH:
            out.append(replace(loop, chain=_mean_loop(loop.chain, turned[number])))
        else:
            out.append(loop)
    return tuple(out)


def _mean_loop(one: Chain, other: Chain) -> Chain:
    """Give the mean of two loops run alike, from the place of the second nearest to the first's."""
    start = float(nearest(other, one.points[:1]).station[0])
    if 1e-6 < start < length(other) - 1e-6:
        other = with_joints_at(other, np.array([start]))
    joint = int(np.hypot(*(other.points - one.points[0]).T).argmin())
    return closed_up(mean_chain(opened(one), opened(started_at(other, joint))))


def _apart(one: Chain, other: Chain) -> float:
    a, b = np.array(bounds(one)), np.array(bounds(other))
    return float(np.abs(a - b).max())


def _mean_drills(first: Panel, second: Panel, motion: Matrix) -> tuple[Drill, ...]:
    if not second.drills:
        return first.drills
    there = moved_points(np.array([drill.xy for drill in second.drills]), motion)
    out = []
    for drill in first.drills:
        gap = np.hypot(*(there - drill.xy).T)
        near = int(gap.argmin())
        place = (drill.xy + there[near]) / 2 if gap[near] <= _DRILL_REACH else drill.xy
        out.append(Drill(drill.name, place))
    return tuple(out)


def _inverse(motion: Matrix) -> Matrix:
    turn = motion[:, :2].T
    return np.column_stack([turn, -turn @ motion[:, 2]])


def _moved(xy: Point, motion: Matrix) -> Point:
    place: Point = moved_points(xy[None], motion)[0]
    return place


def _mirrored_angle(angle: float | None, motion: Matrix) -> float | None:
    if angle is None:
        return None
    along: Floats = motion[:, :2] @ np.array([math.cos(angle), math.sin(angle)])
    return math.atan2(along[1], along[0])
