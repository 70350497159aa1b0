"""Collects what a tool does while a file is read: strokes, travel, the tools picked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import MappingProxyType

import numpy as np

from cutpath.geometry.chain import make_chain
from cutpath.moves import ClothAdvance, Reading, Stroke

Spot = tuple[float, float]


class Trace:
    """The tool's place (mm), whether it is down, and all it has done so far."""

    def __init__(self, tool: int = 0) -> None:
        self.at: Spot = (0.0, 0.0)
        self.is_down = False
        self.tool = tool
        self._strokes: list[Stroke] = []
        self._travel: list[tuple[Spot, Spot]] = []
        self._selected: list[int] = []
        self._points: list[Spot] = []
        self._bulges: list[float] = []
        self._place = 0
        self._advances: list[ClothAdvance] = []
        self._turned_off: dict[int, tuple[float, int]] = {}

    def lower(self, place: int) -> None:
        """Put the tool down where it stands; ``place`` is where the file says so."""
        if not self.is_down:
            self.is_down = True
            self._points, self._bulges, self._place = [self.at], [], place

    def lift(self) -> None:
        """Take the tool up, which ends the stroke; one without a move is a chain of no length."""
        if not self.is_down:
            return
        self.is_down = False
        if not self._bulges:
            self._points.append(self.at)
            self._bulges.append(0.0)
        chain = make_chain(np.array(self._points), np.array(self._bulges))
        self._strokes.append(Stroke(self.tool, chain, self._place))

    def pick(self, tool: int) -> None:
        """Change to ``tool``, which lifts; 0 puts the tool away."""
        self.lift()
        self.tool = tool
        if tool:
            self._selected.append(tool)

    def run(self, joints: Sequence[tuple[Spot, float]]) -> None:
        """Move through ``joints``, each a point and the bulge of the way to it."""
        for to, bulge in joints:
            if to == self.at:
                continue
            if self.is_down:
                self._points.append(to)
                self._bulges.append(bulge)
            else:
                self._travel.append((self.at, to))
            self.at = to

    def advance(self, distance: float, place: int) -> None:
        """Move the cloth on by ``distance`` mm; a tool that is down begins a stroke anew."""
        was_down = self.is_down
        self.lift()
        self._advances.append(
            ClothAdvance(distance, len(self._strokes), len(self._travel), not was_down, place)
        )
        if was_down:
            self.lower(place)

    @property
    def advanced(self) -> float:
        """Give how far the cloth has moved on, mm."""
        return sum(each.distance for each in self._advances)

    def turned(
        self, joints: Sequence[tuple[Spot, float]], angles: tuple[float, float], place: int
    ) -> None:
        """Note how far a blade, turning between two ``angles`` (degrees), is off its way.

        The way goes through ``joints``; its direction is compared at its start and its end.
        """
        if joints[-1][0] == self.at and len(joints) == 1:
            return
        first, last = joints[0], joints[-1]
        before = joints[-2][0] if len(joints) > 1 else self.at
        leave = _course(self.at, first[0]) - 2 * math.atan(first[1])
        arrive = _course(before, last[0]) + 2 * math.atan(last[1])
        for way, angle in ((leave, angles[0]), (arrive, angles[1])):
            off = abs(math.remainder(way - math.radians(angle), 2 * math.pi))
            worst = self._turned_off.get(self.tool, (0.0, 0))
            if off > worst[0]:
                self._turned_off[self.tool] = (off, place)

    def reading(self) -> Reading:
        """Give what was done; a stroke still going is given up to here, the tool as down."""
        was_down = self.is_down
        self.lift()
        return Reading(
            tuple(self._strokes),
            tuple(make_chain(np.array(ends)) for ends in self._travel),
            tuple(self._selected),
            not was_down,
            self.tool,
            MappingProxyType(self._turned_off),
            tuple(self._advances),
        )


def _course(start: Spot, end: Spot) -> float:
    return math.atan2(end[1] - start[1], end[0] - start[0])
