"""The plain route: always on to the nearest stop that is ready."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence

import numpy as np

from cutpath.geometry.points import Point
from cutpath.path.order.stops import Stop, Visit, Work

_RINGS = 3
"""How many rings of cells to search before looking at all that is left."""


def nearest_first(work: Work) -> list[Visit]:
    """Go to the nearest entry each time; the lower number where two are as near.

    Levels come one after the other, and a stop is ready when all it must come after are done. The
    tool at hand is kept while it has work that is ready.
    """
    visits: list[Visit] = []
    here = work.start
    for level in sorted({stop.level for stop in work.stops}):
        mine = [index for index, stop in enumerate(work.stops) if stop.level == level]
        visits += _level(work, mine, here)
        stop, way = visits[-1]
        here = work.stops[stop].exits[way]
    return visits


def _level(work: Work, mine: Sequence[int], start: Point) -> list[Visit]:
    inside = set(mine)
    missing = {s: sum(b in inside for b in work.stops[s].after) for s in mine}
    later: dict[int, list[int]] = defaultdict(list)
    for stop in mine:
        for before in work.stops[stop].after:
            later[before].append(stop)
    yards: dict[int, _Yard] = {}
    for tool in sorted({work.stops[stop].tool for stop in mine}):
        numbers = [stop for stop in mine if work.stops[stop].tool == tool]
        yards[tool] = _Yard(numbers, [work.stops[stop] for stop in numbers])
    for stop in mine:
        if not missing[stop]:
            yards[work.stops[stop].tool].open(stop)
    visits: list[Visit] = []
    x, y = float(start[0]), float(start[1])
    tool = next(iter(yards))
    for _ in mine:
        if not yards[tool].ready:
            tool = next(each for each, yard in yards.items() if yard.ready)
        stop, way = yards[tool].nearest(x, y)
        yards[tool].close(stop)
        visits.append((stop, way))
        x, y = (float(value) for value in work.stops[stop].exits[way])
        for after in later[stop]:
            missing[after] -= 1
            if not missing[after]:
                yards[work.stops[after].tool].open(after)
    return visits


class _Yard:
    """One tool's stops that are ready, in square cells; a stop is in every cell it can begin in."""

    def __init__(self, numbers: Sequence[int], stops: Sequence[Stop]) -> None:
        self.stops = dict(zip(numbers, stops, strict=True))
        self.row = {number: row for row, number in enumerate(numbers)}
        self.number = np.array(numbers)
        self.low = np.array([stop.entries.min(axis=0) for stop in stops])
        self.high = np.array([stop.entries.max(axis=0) for stop in stops])
        self.is_open = np.zeros(len(numbers), dtype=bool)
        self.ready = 0
        extent = self.high.max(axis=0) - self.low.min(axis=0)
        area = max(float(extent[0] * extent[1]), float(extent.max()), 1.0)
        self.cell = math.sqrt(2 * area / len(numbers))
        self.cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        self.homes: dict[int, list[tuple[int, int]]] = {}

    def open(self, stop: int) -> None:
        """Let ``stop`` be found from now on."""
        places = np.floor(self.stops[stop].entries / self.cell).astype(np.int64).tolist()
        self.homes[stop] = list(dict.fromkeys((x, y) for x, y in places))
        for home in self.homes[stop]:
            self.cells[home].append(stop)
        self.is_open[self.row[stop]] = True
        self.ready += 1

    def close(self, stop: int) -> None:
        """Let ``stop`` be found no more."""
        for home in self.homes.pop(stop):
            self.cells[home].remove(stop)
        self.is_open[self.row[stop]] = False
        self.ready -= 1

    def nearest(self, x: float, y: float) -> Visit:
        """Give the open stop with the nearest entry, and that entry's way."""
        column, row = math.floor(x / self.cell), math.floor(y / self.cell)
        best, seen = (math.inf, -1, -1), set()
        for ring in range(_RINGS + 1):
            # Whatever lies in this ring is at least this far off, one way or the other.
            if best[0] <= ((ring - 1) * self.cell) ** 2:
                return best[1], best[2]
            for cell in _ring(column, row, ring):
                for stop in self.cells.get(cell, ()):
                    if stop not in seen:
                        seen.add(stop)
                        best = min(best, self._nearest_way(stop, x, y))
        return self._of_all(x, y)

    def _nearest_way(self, stop: int, x: float, y: float) -> tuple[float, int, int]:
        entries = self.stops[stop].entries
        if len(entries) == 1:
            u, v = entries[0].tolist()
            return (u - x) ** 2 + (v - y) ** 2, stop, 0
        gap = (entries[:, 0] - x) ** 2 + (entries[:, 1] - y) ** 2
        way = int(gap.argmin())
        return float(gap[way]), stop, way

    def _of_all(self, x: float, y: float) -> Visit:
        """Look at the stops by how near their boxes come, until none can be nearer."""
        rows = np.flatnonzero(self.is_open)
        off = np.maximum(np.maximum(self.low[rows] - (x, y), (x, y) - self.high[rows]), 0.0)
        bound = np.sum(off * off, axis=1)
        best = (math.inf, -1, -1)
        for index in np.argsort(bound, kind="stable").tolist():
            if bound[index] > best[0]:
                break
            best = min(best, self._nearest_way(int(self.number[rows[index]]), x, y))
        return best[1], best[2]


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
