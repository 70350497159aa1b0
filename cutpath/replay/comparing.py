"""What was asked against what is cut: tool by tool, both ways, with the place of the worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import length, nearest
from cutpath.geometry.nearness import Straying, largest_distance, straight_pieces
from cutpath.geometry.points import Point
from cutpath.model import Reading

SAMPLING = 0.002
"""How far above the distance given the true one may lie, mm."""

# The chords of both sides, and the halving, share the certainty.
_FLAT = SAMPLING / 4
_HALVING = SAMPLING / 2


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What one tool was asked to do: chains in machine coordinates, mm.

    ``number`` is the tool's in the file; ``strokes`` how often it must go down, when that is known
    (None: once a chain).
    """

    name: str
    number: int
    tolerance: float
    chains: tuple[Chain, ...]
    strokes: int | None = None


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
    wanted, done = straight_pieces(tool.chains, _FLAT), straight_pieces(cut, _FLAT)
    there, back = largest_distance(wanted, done, _HALVING), largest_distance(done, wanted, _HALVING)
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
    """Give where a stroke for a closed line does not come back over its own beginning.

    Only where strokes and lines answer each other one to one.
    """
    if len(cut) != len(tool.chains):
        return ()
    return tuple(
        stroke.first
        for line, stroke in zip(tool.chains, cut, strict=True)
        if line.closed and _return_gap(stroke) > tool.tolerance
    )


def _return_gap(stroke: Chain) -> float:
    if len(stroke) < 2:
        return float("inf")
    half = len(stroke) // 2
    tail = Chain(stroke.points[half:], stroke.bulges[half:], stroke.handles[half:], closed=False)
    return float(nearest(tail, np.array([stroke.first])).distance[0])
