"""Collects what a tool does while a file is read: strokes, travel, the tools picked."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import make_chain
from cutpath.geometry.points import locked
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
        self._made: list[tuple[int, int]] = []
        self._selected: list[int] = []
        self._points: list[Spot] = []
        self._bulges: list[float] = []
        self._headings: list[tuple[float, float]] = []
        self._place = 0
        self._advances: list[ClothAdvance] = []
        self.waited = 0.0

    def lower(self, place: int) -> None:
        """Put the tool down where it stands; ``place`` is where the file says so."""
        if not self.is_down:
            self.is_down = True
            self._points, self._bulges, self._headings = [self.at], [], []
            self._place = place

    def lift(self) -> None:
        """Take the tool up, which ends the stroke; one without a move is a chain of no length."""
        if not self.is_down:
            return
        self.is_down = False
        if not self._bulges:
            self._points.append(self.at)
            self._bulges.append(0.0)
        chain = make_chain(np.array(self._points), np.array(self._bulges))
        headings = locked(np.array(self._headings)) if self._headings else None
        self._strokes.append(Stroke(self.tool, chain, self._place, headings))

    def pick(self, tool: int) -> None:
        """Change to ``tool``, which lifts; 0 puts the tool away."""
        self.lift()
        self.tool = tool
        if tool:
            self._selected.append(tool)

    def run(
        self,
        joints: Sequence[tuple[Spot, float]],
        angles: tuple[float, float] | None = None,
    ) -> None:
        """Move through ``joints``, each a point and the bulge of the way to it.

        ``angles``, degrees, are those of the axis that turns the blade, before and after; it turns
        evenly over the joints.
        """
        for number, (to, bulge) in enumerate(joints):
            if to == self.at:
                continue
            if self.is_down:
                self._points.append(to)
                self._bulges.append(bulge)
                if angles is not None:
                    self._headings.append(_shares(angles, number, len(joints)))
            else:
                self._travel.append((self.at, to))
                self._made.append((len(self._strokes), self.tool))
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
            tuple(self._made),
            self.waited,
            tuple(self._advances),
        )


def _shares(angles: tuple[float, float], number: int, count: int) -> tuple[float, float]:
    """Give the angles, radians, at the start and the end of part ``number`` of ``count``."""
    first, last = (math.radians(angle) for angle in angles)
    step = (last - first) / count
    return first + step * number, first + step * (number + 1)
