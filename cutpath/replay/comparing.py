"""What was asked against what is cut: tool by tool, both ways, with the place of the worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import length
from cutpath.geometry.nearest import nearest
from cutpath.geometry.nearness import Straying, largest_distance, straight_pieces
from cutpath.geometry.points import Point
from cutpath.geometry.splitting import sub_chain
from cutpath.moves import Reading
from cutpath.replay.edges import edges_left, without_ends

SAMPLING = 0.002
"""How far above the distance given the true one may lie, mm."""

# The chords of both sides, and the halving, share the certainty.
_FLAT = SAMPLING / 4
_HALVING = SAMPLING / 2


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What one tool was asked to do: chains in machine coordinates, mm.

    ``number`` is the tool's in the file; ``strokes`` how often it must go down, when that is known
    (None: once a chain). ``width`` mm is what the tool takes away, half to each side, and ``sides``
    tell for each chain whether the piece lies inside it (+1), around it (−1) or neither (0).
    ``spare`` is how far, mm, each stroke may be off the line at its start and at its end, there in
    the waste.
    """

    name: str
    number: int
    tolerance: float
    chains: tuple[Chain, ...]
    strokes: int | None = None
    width: float = 0.0
    sides: tuple[int, ...] = ()
    spare: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """One tool's distances in mm both ways, where the larger is, and how much it does."""

    asked: Asked
    asked_to_cut: float
    cut_to_asked: float
    worst_at: Point | None
    strokes: int
    length: float
    gaping: tuple[Point, ...] = field(default=())

    @property
    def deviation(self) -> float:
        """The larger of both distances, mm."""
        return max(self.asked_to_cut, self.cut_to_asked)


def compare(asked: Sequence[Asked], reading: Reading) -> tuple[Comparison, ...]:
    """Compare each tool's ``asked`` chains with its strokes in ``reading`` (tips for drag blades).

    Distances are certified to 0.002 mm and infinite where one side has nothing. Tools that the file
    uses and nobody asked for come last, named by their number.
    """
    wanted = list(asked)
    strange = sorted({stroke.tool for stroke in reading.strokes} - {tool.number for tool in asked})
    wanted += [Asked(f"tool {number}", number, 0.0, (), 0) for number in strange]
    return tuple(_compared(tool, reading) for tool in wanted)


def _compared(tool: Asked, reading: Reading) -> Comparison:
    cut = [stroke.chain for stroke in reading.strokes if stroke.tool == tool.number]
    edges = edges_left(cut, tool.width, tool.sides) if tool.width else cut
    wanted, done = straight_pieces(tool.chains, _FLAT), straight_pieces(edges, _FLAT)
    there = largest_distance(wanted, done, _HALVING)
    if any(tool.spare) and not tool.width:
        middles = [middle for run in edges if (middle := without_ends(run, *tool.spare))]
        done = straight_pieces(middles, _FLAT)
    back = largest_distance(done, wanted, _HALVING)
    worst: Straying = there if there.distance >= back.distance else back
    return Comparison(
        tool,
        there.distance,
        back.distance,
        worst.place if tool.chains or cut else None,
        len(cut),
        sum(length(chain) for chain in cut),
        _gaping(tool, cut),
    )


def _gaping(tool: Asked, cut: list[Chain]) -> tuple[Point, ...]:
    """Give where a stroke for a closed line does not come back over the line's beginning.

    Only where strokes and lines answer each other one to one.
    """
    if len(cut) != len(tool.chains):
        return ()
    return tuple(
        stroke.first
        for line, stroke in zip(tool.chains, cut, strict=True)
        if line.closed and not _is_plunge(stroke)
        if _return_gap(stroke, line, tool.spare[0]) > tool.tolerance
    )


def _is_plunge(stroke: Chain) -> bool:
    """Tell a hit of a punch, which makes a whole hole at once."""
    return len(stroke) == 1 and bool((stroke.first == stroke.last).all())


def _return_gap(stroke: Chain, line: Chain, most: float) -> float:
    """Give how far the later half passes from where the line begins.

    That is where the stroke first comes nearest to it, ``most`` mm on where it leads in.
    """
    before = _lead_length(stroke, line, most)
    run = without_ends(stroke, before, 0.0) if before else stroke
    if run is None or len(run) < 2:
        return float("inf")
    half = len(run) // 2
    tail = Chain(run.points[half:], run.bulges[half:], run.handles[half:], closed=False)
    return float(nearest(tail, np.array([run.first])).distance[0])


def _lead_length(stroke: Chain, line: Chain, most: float) -> float:
    if not most:
        return 0.0
    head = sub_chain(stroke, 0.0, min(most, length(stroke)))
    return float(nearest(head, line.first[None]).station[0])
