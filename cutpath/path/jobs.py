"""A load's strokes as jobs: what is made in one go, in which ways, and what must come before."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, line, reversed_chain, started_at
from cutpath.geometry.points import Point, Points
from cutpath.geometry.room import contained_pairs
from cutpath.model import Feature, Load, Piece, Role
from cutpath.path.rules import Held, Rules
from cutpath.path.starts import begun_at, places, start_stations

_NO_POINTS = np.zeros((0, 2))
_DRAWN = {Role.PEN, Role.DRILL}


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """Strokes made in one go, and the ways to make them: each way is the strokes in order.

    A closed cut has no ``ways``: it is ``loop``, begun at any of ``stations``, mm along it.
    """

    role: Role
    feature: Feature
    piece: str
    entries: Points
    exits: Points
    ways: tuple[tuple[Chain, ...], ...]
    loop: Chain | None = None
    stations: tuple[float, ...] = ()

    def strokes(self, way: int) -> tuple[Chain, ...]:
        """Give the strokes of one way, in order."""
        if self.loop is not None:
            return (begun_at(self.loop, self.stations[way]),)
        return self.ways[way]


def jobs_of(load: Load) -> list[Job]:
    """Give every job of the load: pen, drill, what is cut inside, outlines, in that order."""
    pieces = load.pieces
    jobs = [job for piece in pieces for job in _pen_jobs(piece)]
    jobs += [_drill_job(piece, xy) for piece in pieces for xy in piece.drills]
    jobs += [job for piece in pieces for job in _inner_jobs(piece)]
    jobs += [
        _stroke_job(Role.HOT, Feature.SEAL, piece, end) for piece in pieces for end in piece.sealed
    ]
    outlined = (piece for piece in pieces if not piece.sealed)
    return jobs + [_loop_job(piece, piece.cut, Feature.OUTLINE) for piece in outlined]


def levels_of(jobs: Sequence[Job], befores: Sequence[Sequence[int]], rules: Rules) -> list[int]:
    """Give each job's level: all of one come before any of the next.

    Where marks come before all cuts there is one for the pen, one for the drill; outlines may come
    in bands from the far side of where the cloth is held. What another tool than the outline's does
    comes in no band, else tools would change from band to band.
    """
    bands = _bands(jobs, rules.held, rules) if rules.held else [0] * len(jobs)
    first = {Role.PEN: -2, Role.DRILL: -1}
    is_apart = rules.marks_before == "all cuts"
    levels = [
        first[job.role] if is_apart and job.role in first else band
        for job, band in zip(jobs, bands, strict=True)
    ]
    # What must come later cannot lie in an earlier band: the ring waits for what is in its opening.
    is_settled = False
    while not is_settled:
        raised = [
            max([level, *(levels[before] for before in mine)])
            for level, mine in zip(levels, befores, strict=True)
        ]
        is_settled, levels = raised == levels, raised
    return levels


def _bands(jobs: Sequence[Job], held: Held, rules: Rules) -> list[int]:
    """Give how many bands nearer than the farthest each piece's middle lies: its level."""
    outlines = {job.piece: job for job in jobs if job.feature is Feature.OUTLINE}
    near = {name: float(job.entries.mean(axis=0) @ held.towards) for name, job in outlines.items()}
    tools = {name: rules.tool(job.role, job.feature).name for name, job in outlines.items()}
    least = min(near.values(), default=0.0)
    return [
        int((near[job.piece] - least) // held.band)
        if tools.get(job.piece) == rules.tool(job.role, job.feature).name
        else 0
        for job in jobs
    ]


def befores_of(jobs: Sequence[Job], load: Load, rules: Rules) -> list[tuple[int, ...]]:
    """Give for each job those, by number, that must be done before it, besides lower levels.

    A piece's own inner work comes before its outline; whatever lies in an opening of another piece
    comes before that opening; pen and drill come before the cuts they must.
    """
    by_piece: dict[str, list[int]] = defaultdict(list)
    for number, job in enumerate(jobs):
        by_piece[job.piece].append(number)
    before: list[set[int]] = [set() for _ in jobs]
    for mine in by_piece.values():
        drawn = [n for n in mine if jobs[n].role in _DRAWN]
        for number in mine:
            job = jobs[number]
            if job.feature is Feature.OUTLINE:
                before[number].update(n for n in mine if n != number)
            elif rules.marks_before == "own cuts" and job.role not in _DRAWN:
                before[number].update(drawn)
    for inside, opening in _in_openings(jobs, load):
        before[opening].update(by_piece[inside])
    return [tuple(sorted(each)) for each in before]


def _in_openings(jobs: Sequence[Job], load: Load) -> list[tuple[str, int]]:
    """Give (piece, job of an opening around it)."""
    openings = [n for n, job in enumerate(jobs) if job.feature is Feature.INNER]
    loops = [jobs[n].loop for n in openings]
    cuts = [piece.cut for piece in load.pieces]
    pairs = contained_pairs(cuts, [loop for loop in loops if loop is not None])
    return [(load.pieces[inner].name, openings[outer]) for inner, outer in pairs]


def _pen_jobs(piece: Piece) -> list[Job]:
    jobs = [_stroke_job(Role.PEN, Feature.LINE, piece, chain) for chain in piece.pen]
    if piece.lettering:
        first, last = piece.lettering[0].first, piece.lettering[-1].last
        ways = (piece.lettering,)
        jobs.append(Job(Role.PEN, Feature.LETTERING, piece.name, first[None], last[None], ways))
    return jobs


def _inner_jobs(piece: Piece) -> list[Job]:
    notches = [_stroke_job(Role.KNIFE, Feature.NOTCH, piece, chain, one_way=True)
               for chain in piece.notches]  # fmt: skip
    return notches + [_loop_job(piece, loop, Feature.INNER) for loop in piece.inner_cuts]


def _drill_job(piece: Piece, xy: Point) -> Job:
    ways = ((line(xy, xy),),)
    return Job(Role.DRILL, Feature.DRILL, piece.name, xy[None], xy[None], ways)


def _stroke_job(
    role: Role, feature: Feature, piece: Piece, chain: Chain, *, one_way: bool = False
) -> Job:
    """Give an open stroke either way round; a notch is cut inward only, from the cut line."""
    if chain.closed:
        begun = tuple((started_at(chain, joint),) for joint in range(len(chain)))
        return Job(role, feature, piece.name, chain.points, chain.points, begun)
    ways = ((chain,),) if one_way else ((chain,), (reversed_chain(chain),))
    entries = np.array([way[0].first for way in ways])
    exits = np.array([way[0].last for way in ways])
    return Job(role, feature, piece.name, entries, exits, ways)


def _loop_job(piece: Piece, loop: Chain, feature: Feature) -> Job:
    notches = _notch_points(piece) if feature is Feature.OUTLINE else _NO_POINTS
    stations = start_stations(loop, notches)
    entries = places(loop, stations)
    begun = tuple(float(station) for station in stations)
    return Job(Role.KNIFE, feature, piece.name, entries, entries, (), loop, begun)


def _notch_points(piece: Piece) -> Points:
    return np.array([chain.first for chain in piece.notches]) if piece.notches else _NO_POINTS
