"""The plain route: always on to the nearest stop that is left."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence

import numpy as np

from cutpath.geometry.points import Ints, Point
from cutpath.path.stops import DISTANCE, Measure, Stop, Visit

_RINGS = 3
"""How many rings of cells to search before looking at all that is left."""


def nearest_first(stops: Sequence[Stop], start: Point, measure: Measure = DISTANCE) -> list[Visit]:
    """Go to the nearest entry each time; the lower number where two are as near."""
    yard = _Yard(stops, measure)
    visits: list[Visit] = []
    x, y = float(start[0]), float(start[1])
    for _ in stops:
        option = yard.nearest(x, y)
        stop = yard.owner[option]
        visits.append((stop, option - yard.first[stop]))
        x, y = yard.leave(option)
    return visits


class _Yard:
    """The entries that are still open, in square cells."""

    def __init__(self, stops: Sequence[Stop], measure: Measure) -> None:
        counts = [len(stop.entries) for stop in stops]
        entries = np.concatenate([stop.entries for stop in stops])
        exits = np.concatenate([stop.exits for stop in stops])
        self.measure = measure
        self.first: list[int] = np.concatenate([[0], np.cumsum(counts)]).tolist()
        self.owner: list[int] = np.repeat(np.arange(len(stops)), counts).tolist()
        self.x: list[float] = entries[:, 0].tolist()
        self.y: list[float] = entries[:, 1].tolist()
        self.exit_x: list[float] = exits[:, 0].tolist()
        self.exit_y: list[float] = exits[:, 1].tolist()
        self.entries = entries
        self.is_open = np.ones(len(entries), dtype=bool)
        self.left: Ints = np.arange(len(entries))
        self.closed_since = 0
        extent = entries.max(axis=0) - entries.min(axis=0)
        area = max(float(extent[0] * extent[1]), float(extent.max()), 1.0)
        self.cell = math.sqrt(2 * area / len(entries))
        self.cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        for option in range(len(entries)):
            self.cells[self._cell(self.x[option], self.y[option])].append(option)

    def _cell(self, x: float, y: float) -> tuple[int, int]:
        return math.floor(x / self.cell), math.floor(y / self.cell)

    def leave(self, option: int) -> tuple[float, float]:
        """Close the stop that ``option`` belongs to; give where its stroke ends."""
        stop = self.owner[option]
        for each in range(self.first[stop], self.first[stop + 1]):
            self.is_open[each] = False
            self.cells[self._cell(self.x[each], self.y[each])].remove(each)
            self.closed_since += 1
        if self.closed_since > len(self.left) // 2:
            self.left = self.left[self.is_open[self.left]]
            self.closed_since = 0
        return self.exit_x[option], self.exit_y[option]

    def nearest(self, x: float, y: float) -> int:
        column, row = self._cell(x, y)
        best, least = -1, math.inf
        for ring in range(_RINGS + 1):
            # Whatever lies in this ring is at least this far off, one way or the other.
            off = (ring - 1) * self.cell
            if best >= 0 and least <= min(self.measure.one(off, 0.0), self.measure.one(0.0, off)):
                return best
            for cell in _ring(column, row, ring):
                for option in self.cells.get(cell, ()):
                    cost = self.measure.one(self.x[option] - x, self.y[option] - y)
                    if cost < least or (cost == least and option < best):
                        best, least = option, cost
        return self._of_all(x, y)

    def _of_all(self, x: float, y: float) -> int:
        left = self.left[self.is_open[self.left]]
        away = self.entries[left] - (x, y)
        return int(left[self.measure.many(away[:, 0], away[:, 1]).argmin()])


def _ring(column: int, row: int, ring: int) -> Iterable[tuple[int, int]]:
    if ring == 0:
        yield column, row
        return
    for step in range(-ring, ring + 1):
        yield column + step, row - ring
        yield column + step, row + ring
    for step in range(1 - ring, ring):
        yield column - ring, row + step
        yield column + ring, row + step
