"""One edge made ready to be walked in a seam's direction."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.measure import end_tangents, length, points_at_stations
from cutpath.geometry.points import Points, turn_between
from cutpath.geometry.splitting import sub_chain
from cutpath.model import EdgeName, Panel
from cutpath.seam_report import LoneMark

_REACH = 1e-6
SAMPLES = 97
"""Places at which the shapes of two edges are compared."""


@dataclass(frozen=True, slots=True, eq=False)
class Side:
    """An edge as walked: its length, marks in order, samples and what it meets at both ends.

    ``points`` (SAMPLES, 2) are evenly spaced from start to end; ``angles`` are the panel's inner
    angles there, ``neighbours`` the panel's own edges that meet it there.
    """

    length: float
    marks: tuple[LoneMark, ...]
    points: Points
    angles: tuple[float, float]
    neighbours: tuple[EdgeName, EdgeName]


def side_of(panel: Panel, name: EdgeName) -> Side:
    """Measure an edge in its own direction.

    Raises InputError when the panel lacks the edge or the edge has no length.
    """
    names = [edge.name for edge in panel.edges]
    if name.edge not in names:
        raise InputError(
            f"panel '{panel.name}' has no edge '{name.edge}'",
            panel.source,
            f"Its edges are: {', '.join(names)}.",
        )
    index = names.index(name.edge)
    before, edge = panel.edges[index - 1], panel.edges[index]
    after = panel.edges[(index + 1) % len(panel.edges)]
    whole = length(edge.chain)
    if whole <= 0:
        raise InputError(
            f"edge '{name}' has no length", panel.source, "Draw it from corner to corner."
        )
    leaving, arriving = end_tangents(edge.chain)
    turn_in = turn_between(end_tangents(before.chain)[1], leaving)
    turn_out = turn_between(arriving, end_tangents(after.chain)[0])
    found = [LoneMark(mark.name, mark.station) for mark in panel.marks if mark.edge == name.edge]
    points, _ = points_at_stations(edge.chain, np.linspace(0.0, whole, SAMPLES))
    return Side(
        whole,
        tuple(sorted(found, key=lambda mark: mark.station)),
        points,
        (float(np.pi - turn_in), float(np.pi - turn_out)),
        (EdgeName(panel.name, before.name), EdgeName(panel.name, after.name)),
    )


def part_of_side(panel: Panel, name: EdgeName, span: tuple[float, float]) -> Side:
    """Measure the part of an edge between two stations, mm.

    Where it ends inside the edge, it meets the edge itself, straight on; marks of those ends are
    left out. Raises InputError as ``side_of``, and where nothing lies between the stations.
    """
    whole = side_of(panel, name)
    begin, end = max(span[0], 0.0), min(span[1], whole.length)
    chain = panel.edge(name.edge).chain
    try:
        part = sub_chain(chain, begin, end)
    except ValueError as error:
        raise InputError(f"nothing of edge '{name}' is sewn", panel.source) from error
    points, _ = points_at_stations(part, np.linspace(0.0, length(part), SAMPLES))
    is_cut = (begin > _REACH, end < whole.length - _REACH)
    low = begin + _REACH if is_cut[0] else -np.inf
    high = end - _REACH if is_cut[1] else np.inf
    inside = [mark for mark in whole.marks if low <= mark.station <= high]
    return Side(
        end - begin,
        tuple(replace(mark, station=mark.station - begin) for mark in inside),
        points,
        (np.pi if is_cut[0] else whole.angles[0], np.pi if is_cut[1] else whole.angles[1]),
        (name if is_cut[0] else whole.neighbours[0], name if is_cut[1] else whole.neighbours[1]),
    )


def turned_round(side: Side) -> Side:
    """Give the same edge walked from its other end."""
    marks = tuple(
        replace(mark, station=side.length - mark.station) for mark in reversed(side.marks)
    )
    return Side(side.length, marks, side.points[::-1], side.angles[::-1], side.neighbours[::-1])
