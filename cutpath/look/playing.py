"""What a file does, set in time: the strokes read back, with the travel between them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.biarc import as_arcs
from cutpath.geometry.points import Floats, Point
from cutpath.geometry.transform import Matrix, transformed
from cutpath.kinematics import Kinematics
from cutpath.look.scene import Timeline, as_points_of
from cutpath.moves import Reading, Stroke

_CURVE = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Hand:
    """One tool of a file: its name and how the machine moves it."""

    name: str
    rates: Kinematics


@dataclass(frozen=True, slots=True, eq=False)
class ClothMove:
    """The cloth moves on before stroke number ``stroke``: on it the head gets ``by`` mm farther."""

    stroke: int
    by: Point
    seconds: float


def played(
    reading: Reading,
    matrix: Matrix,
    hands: Mapping[int, Hand],
    start: Point,
    cloth: Sequence[ClothMove] = (),
) -> Timeline:
    """Set ``reading`` in time: ``matrix`` takes its coordinates to the view's.

    ``hands`` are the tools by number; one that is not there moves by the common rates. ``start`` is
    where the head stands first, in the view's coordinates. Within a stroke time goes with the
    length; whole strokes take what the clock says. Where the cloth moves on, ``reading`` is laid
    out on it.
    """
    way = _Way(start)
    waiting = list(cloth)
    names: list[str] = []
    held = ""
    for number, stroke in enumerate(reading.strokes):
        while waiting and waiting[0].stroke <= number:
            way.carry(waiting.pop(0))
        hand = hands.get(stroke.tool) or Hand(f"tool {stroke.tool}", Kinematics())
        if hand.name not in names:
            names.append(hand.name)
        if number and hand.name != held:
            way.wait(hand.rates.tool_change_time)
        held = hand.name
        way.add(stroke, matrix, hand, names.index(hand.name), number)
    words = tuple(_words(stroke, hands) for stroke in reading.strokes)
    return way.timeline(tuple(names), words)


def _words(stroke: Stroke, hands: Mapping[int, Hand]) -> str:
    hand = hands.get(stroke.tool)
    return hand.name if hand else f"tool {stroke.tool}"


class _Way:
    def __init__(self, start: Point) -> None:
        self.places: list[Floats] = [np.asarray(start, dtype=np.float64)[None]]
        self.seconds: list[Floats] = [np.zeros(1)]
        self.down: list[Floats] = [np.zeros(1)]
        self.tool: list[Floats] = [np.zeros(1)]
        self.stroke: list[Floats] = [np.full(1, -1.0)]
        self.now = 0.0

    def wait(self, seconds: float) -> None:
        """Let time pass where the head stands."""
        self.now += seconds

    def carry(self, move: ClothMove) -> None:
        """Let the cloth pass below the head, tool up."""
        self.now += move.seconds
        tool = int(self.tool[-1][-1])
        self._put(self.places[-1][-1:] + move.by, np.array([self.now]), 0, tool, -1)

    def add(self, stroke: Stroke, matrix: Matrix, hand: Hand, tool: int, number: int) -> None:
        """Travel to a stroke, lower, follow it, lift."""
        chain = as_arcs(transformed(stroke.chain, matrix), _CURVE)
        points = as_points_of(chain)
        gap = float(np.hypot(*(points[0] - self.places[-1][-1])))
        self.now += float(hand.rates.travel_time([gap])[0])
        self._put(points[:1], np.array([self.now]), 0, tool, -1)
        self.now += hand.rates.lower_time
        lengths = np.hypot(*np.diff(points, axis=0).T)
        whole = float(lengths.sum())
        spent = hand.rates.stroke_time(chain) if whole > 0 else 0.0
        share = np.cumsum(lengths) / whole if whole > 0 else np.ones(len(lengths))
        self._put(points[:1], np.array([self.now]), 1, tool, number)
        self._put(points[1:], self.now + spent * share, 1, tool, number)
        self.now += spent + hand.rates.lift_time

    def _put(self, points: Floats, seconds: Floats, down: int, tool: int, number: int) -> None:
        count = len(points)
        self.places.append(points)
        self.seconds.append(seconds)
        self.down.append(np.full(count, down))
        self.tool.append(np.full(count, tool))
        self.stroke.append(np.full(count, number))

    def timeline(self, tools: Sequence[str], strokes: Sequence[str]) -> Timeline:
        """Give the whole way."""
        joined = [np.concatenate(part) for part in (self.down, self.tool, self.stroke)]
        down, tool, stroke = (part.astype(np.int64) for part in joined)
        return Timeline(
            np.concatenate(self.places), np.concatenate(self.seconds), down, tool, stroke,
            tuple(tools), tuple(strokes),
        )  # fmt: skip
