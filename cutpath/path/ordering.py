"""A load's strokes in the order they are made.

Pen first, then drill, then the knife: notches and inner cuts of every piece, then the outlines. A
piece that lies inside an opening of another is cut wholly before that opening, for cloth that is
cut free moves. Within each stage the way between strokes is kept short.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, line, reversed_chain, started_at
from cutpath.geometry.points import Point, Points
from cutpath.geometry.room import contained_pairs
from cutpath.model import Feature, Load, Piece, Role, Toolpath
from cutpath.path.starts import begun_at, places, start_stations
from cutpath.path.stops import DISTANCE, Measure, Stop
from cutpath.path.touring import shortest_routes

_NO_POINTS = np.zeros((0, 2))


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """Strokes made in one go, and the ways to make them: each way is the strokes in order."""

    stop: Stop
    role: Role
    feature: Feature
    piece: str
    ways: tuple[tuple[Chain, ...], ...]
    loop: Chain | None = None
    stations: tuple[float, ...] = ()

    def strokes(self, way: int) -> tuple[Chain, ...]:
        if self.loop is not None:
            return (begun_at(self.loop, self.stations[way]),)
        return self.ways[way]


def ordered_toolpaths(
    load: Load, start: Point, rounds: int = 4, measure: Measure = DISTANCE
) -> tuple[Toolpath, ...]:
    """Give every stroke of ``load`` in working order, from where the head begins.

    Closed cuts begin in the middle of a side. ``measure`` is what travel costs, ``rounds`` bounds
    the effort to keep it low. The same load gives the same order.
    """
    stages = list(_stages(load))
    routes = shortest_routes(
        [[job.stop for job in stage] for stage in stages], start, rounds, measure
    )
    return tuple(
        Toolpath(stage[index].role, stage[index].feature, stage[index].piece, chain)
        for stage, route in zip(stages, routes, strict=True)
        for index, way in route
        for chain in stage[index].strokes(way)
    )


def _stages(load: Load) -> Iterable[list[_Job]]:
    pieces = load.pieces
    yield [job for piece in pieces for job in _pen_jobs(piece)]
    yield [_drill_job(piece, xy) for piece in pieces for xy in piece.drills]
    for tier in _tiers(pieces):
        yield [job for piece in tier for job in _inner_jobs(piece)]
        yield [_loop_job(piece, piece.cut, Feature.OUTLINE) for piece in tier]


def _tiers(pieces: Sequence[Piece]) -> list[list[Piece]]:
    """Group pieces so that one lying in another's opening comes in an earlier group."""
    openings = [loop for piece in pieces for loop in piece.inner_cuts]
    # Openings around one piece lie in one another, so their number is how deep it lies.
    pairs = contained_pairs([piece.cut for piece in pieces], openings)
    depths = Counter(inner for inner, _ in pairs)
    deepest = max(depths.values(), default=0)
    return [
        [piece for index, piece in enumerate(pieces) if depths[index] == depth]
        for depth in range(deepest, -1, -1)
    ]


def _pen_jobs(piece: Piece) -> list[_Job]:
    jobs = [_stroke_job(Role.PEN, Feature.LINE, piece, chain) for chain in piece.pen]
    if piece.lettering:
        first, last = piece.lettering[0].first, piece.lettering[-1].last
        stop = Stop(first[None], last[None])
        jobs.append(_Job(stop, Role.PEN, Feature.LETTERING, piece.name, (piece.lettering,)))
    return jobs


def _inner_jobs(piece: Piece) -> list[_Job]:
    notches = [_stroke_job(Role.KNIFE, Feature.NOTCH, piece, chain, one_way=True)
               for chain in piece.notches]  # fmt: skip
    return notches + [_loop_job(piece, loop, Feature.INNER) for loop in piece.inner_cuts]


def _drill_job(piece: Piece, xy: Point) -> _Job:
    stop = Stop(xy[None], xy[None])
    return _Job(stop, Role.DRILL, Feature.DRILL, piece.name, ((line(xy, xy),),))


def _stroke_job(
    role: Role, feature: Feature, piece: Piece, chain: Chain, *, one_way: bool = False
) -> _Job:
    """Give an open stroke either way round; a notch is cut inward only, from the cut line."""
    if chain.closed:
        stop = Stop(chain.points, chain.points)
        begun = tuple((started_at(chain, joint),) for joint in range(len(chain)))
        return _Job(stop, role, feature, piece.name, begun)
    ways = ((chain,),) if one_way else ((chain,), (reversed_chain(chain),))
    entries = np.array([way[0].first for way in ways])
    exits = np.array([way[0].last for way in ways])
    return _Job(Stop(entries, exits), role, feature, piece.name, ways)


def _loop_job(piece: Piece, loop: Chain, feature: Feature) -> _Job:
    stations = start_stations(
        loop, _notch_points(piece) if feature is Feature.OUTLINE else _NO_POINTS
    )
    entries = places(loop, stations)
    return _Job(
        Stop(entries, entries),
        Role.KNIFE,
        feature,
        piece.name,
        (),
        loop,
        tuple(float(station) for station in stations),
    )


def _notch_points(piece: Piece) -> Points:
    return np.array([chain.first for chain in piece.notches]) if piece.notches else _NO_POINTS
