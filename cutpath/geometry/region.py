"""Union, difference and intersection of regions bounded by lines and arcs; arcs come out as arcs.

The loops are flattened finely and given to Clipper, whose integers make the topology sound. Each
vertex that it gives back is traced to the line or arc that it came from; runs from one arc become
that arc again, and the new corners are put where the true lines and circles cross. So the shapes
decide exactly and Clipper only decides what meets what.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pyclipper

from cutpath.geometry.chain import Chain, make_chain, polyline, segment
from cutpath.geometry.crossing import XY, Primitive, Round, Straight, crossing_near
from cutpath.geometry.flatten import arc_geometry, flatten
from cutpath.geometry.points import Ints

_PER_MM = 1 << 17
"""Clipper's units a mm: 7.6e-6 mm each, and 8 m still in its fast range."""
_FLATNESS = 0.002
_SNAP = 3
"""Units within which Clipper may have rounded a vertex off its line."""

_Key = tuple[int, int]


def union(loops: Sequence[Chain]) -> tuple[Chain, ...]:
    """Give the boundary of all that any counter-clockwise loop in ``loops`` surrounds.

    Where loops overlap their winding numbers add; a region counts when the sum is positive. Outer
    boundaries come counter-clockwise, holes clockwise. Loops are closed, of lines and arcs.
    Raises ValueError for open chains or cubics.
    """
    return _combined(pyclipper.CT_UNION, loops, ())


def difference(loops: Sequence[Chain], minus: Sequence[Chain]) -> tuple[Chain, ...]:
    """Give what ``loops`` surround and ``minus`` do not; see ``union`` for the terms."""
    return _combined(pyclipper.CT_DIFFERENCE, loops, minus)


def intersection(loops: Sequence[Chain], other: Sequence[Chain]) -> tuple[Chain, ...]:
    """Give what both ``loops`` and ``other`` surround; see ``union`` for the terms."""
    return _combined(pyclipper.CT_INTERSECTION, loops, other)


def _combined(kind: int, loops: Sequence[Chain], other: Sequence[Chain]) -> tuple[Chain, ...]:
    ledger = _Ledger()
    tool = pyclipper.Pyclipper()
    # Keeping collinear vertices would leave loops that share an edge unjoined.
    tool.PreserveCollinear = False
    for group, role in ((loops, pyclipper.PT_SUBJECT), (other, pyclipper.PT_CLIP)):
        for loop in group:
            path = ledger.enter(loop)
            if len(set(path)) > 2:
                _add(tool, path, role)
    try:
        rings = tool.Execute(kind, pyclipper.PFT_POSITIVE, pyclipper.PFT_POSITIVE)
    except pyclipper.ClipperException:  # nothing that bounds an area was entered
        return ()
    found = (
        ledger.recover(part)
        for ring in rings
        for part in _parted_at_pinches([(int(x), int(y)) for x, y in ring])
    )
    return tuple(chain for chain in found if chain is not None)


def _add(tool: pyclipper.Pyclipper, path: list[_Key], role: int) -> None:
    try:
        tool.AddPath(path, role, True)
    except pyclipper.ClipperException:
        # The path bounds no area (all on one line): it adds nothing to the region.
        return


@dataclass(slots=True)
class _Source:
    """One line or arc that was entered: its shape and, for an arc, which way it turns."""

    shape: Primitive
    turn: float  # + counter-clockwise, - clockwise, 0 for a line


class _Piece(NamedTuple):
    """One straight piece of a flattened source, in Clipper's units."""

    source: int
    start: _Key
    end: _Key


class _Ledger:
    """Remembers what was entered, so that Clipper's rings can be traced back."""

    def __init__(self) -> None:
        self.loops: list[Chain] = []
        self.firsts: list[int] = []  # the number of each loop's first source
        self.bends: list[float] = []  # each source's bulge
        self.pieces: list[_Piece] = []
        self.touching: dict[_Key, list[int]] = defaultdict(list)
        self.exact: dict[_Key, XY] = {}
        self._table: Ints | None = None

    def enter(self, loop: Chain) -> list[_Key]:
        """Flatten ``loop`` into Clipper's units and write down where each piece came from."""
        if not loop.closed or loop.is_cubic.any():
            raise ValueError("a region is bounded by closed loops of lines and arcs")
        first = len(self.bends)
        self.loops.append(loop)
        self.firsts.append(first)
        self.bends += loop.bulges.tolist()
        flat = flatten(loop, _FLATNESS)
        keys = [(x, y) for x, y in np.rint(flat.points * _PER_MM).astype(np.int64).tolist()]
        self.exact.update(zip(keys, map(tuple, flat.points.tolist()), strict=True))
        number = len(self.pieces)
        for owner, start, end in zip(flat.owner.tolist(), keys, keys[1:] + keys[:1], strict=True):
            if start == end:
                continue
            self.touching[start].append(number)
            self.touching[end].append(number)
            self.pieces.append(_Piece(first + owner, start, end))
            number += 1
        return keys

    def source(self, number: int) -> _Source:
        """Give source ``number``; few are ever asked for."""
        which = bisect_right(self.firsts, number) - 1
        loop, index = self.loops[which], number - self.firsts[which]
        if loop.bulges[index]:
            part = segment(loop, index)
            (center,), (radius,), _, (sweep,) = (found.tolist() for found in arc_geometry(part))
            return _Source(Round(tuple(center), radius), sweep)
        ends = loop.starts[index].tolist(), loop.ends[index].tolist()
        return _Source(Straight(tuple(ends[0]), tuple(ends[1])), 0.0)

    def recover(self, ring: list[_Key]) -> Chain | None:
        """Give ``ring`` as lines and arcs; None when it has no area worth keeping."""
        ring = _without_spikes(_without_crumbs(ring))
        if len(ring) < 3:
            return None
        runs = _runs([self._source_of(a, b) for a, b in _ring_edges(ring)])
        if len(runs) < 2:
            return polyline([self._place(key) for key in ring], closed=True)
        corners = [
            self._corner(ring[start], runs[index - 1][1], way)
            for index, (start, way) in enumerate(runs)
        ]
        bulges = [
            self._bulge(corners[index], corners[(index + 1) % len(corners)], way)
            for index, (_, way) in enumerate(runs)
        ]
        return make_chain(corners, bulges, closed=True)

    def _source_of(self, a: _Key, b: _Key) -> tuple[int, int]:
        """Give (source, +1 with it or −1 against it) of the ring's edge; (−1, 0) when unknown."""
        at_a, at_b = self.touching.get(a, []), self.touching.get(b, [])
        for index in at_a:
            if index in at_b:
                return self.pieces[index].source, _way(a, b, self.pieces[index])
        known = [*at_a, *at_b]
        for index in known:
            piece = self.pieces[index]
            if _lies_on(a, piece) and _lies_on(b, piece):
                return piece.source, _way(a, b, piece)
        edge = _Piece(-1, a, b)  # it may run over several pieces of one line
        for index in known:
            piece = self.pieces[index]
            if _lies_on(piece.start, edge) and _lies_on(piece.end, edge):
                return piece.source, _way(a, b, piece)
        return self._searched(a, b)

    def _searched(self, a: _Key, b: _Key) -> tuple[int, int]:
        """Look through all pieces: for an edge between two new crossings."""
        if self._table is None:
            self._table = np.array([(*piece.start, *piece.end) for piece in self.pieces])
        boxed = np.ones(len(self._table), dtype=bool)
        for x, y in (a, b):
            for axis, value in ((0, x), (1, y)):
                first, last = self._table[:, axis], self._table[:, axis + 2]
                boxed &= (np.minimum(first, last) - _SNAP <= value) & (
                    value <= np.maximum(first, last) + _SNAP
                )
        for index in np.flatnonzero(boxed).tolist():
            piece = self.pieces[index]
            if _lies_on(a, piece) and _lies_on(b, piece):
                return piece.source, _way(a, b, piece)
        return -1, 0

    def _place(self, key: _Key) -> XY:
        return self.exact.get(key, (key[0] / _PER_MM, key[1] / _PER_MM))

    def _corner(self, key: _Key, before: tuple[int, int], after: tuple[int, int]) -> XY:
        """Give the true place of a ring's corner between two sources."""
        if key in self.exact:
            return self.exact[key]
        place = self._place(key)
        if before[0] < 0 or after[0] < 0:
            return place
        shapes = self.source(before[0]).shape, self.source(after[0]).shape
        return crossing_near(*shapes, place, within=0.2)

    def _bulge(self, start: XY, end: XY, way: tuple[int, int]) -> float:
        if way[0] < 0 or not self.bends[way[0]]:
            return 0.0
        source = self.source(way[0])
        if not isinstance(source.shape, Round):
            return 0.0
        cx, cy = source.shape.center
        turn = math.atan2(end[1] - cy, end[0] - cx) - math.atan2(start[1] - cy, start[0] - cx)
        if source.turn * way[1] > 0:
            return math.tan(math.fmod(turn + 2 * math.tau, math.tau) / 4)
        return -math.tan(math.fmod(-turn + 2 * math.tau, math.tau) / 4)


def _ring_edges(ring: list[_Key]) -> zip[tuple[_Key, _Key]]:
    return zip(ring, ring[1:] + ring[:1], strict=True)


def _without_crumbs(ring: list[_Key]) -> list[_Key]:
    """Drop vertices that rounding set beside the one before."""
    kept = [
        b
        for a, b in zip(ring[-1:] + ring[:-1], ring, strict=True)
        if abs(a[0] - b[0]) > _SNAP or abs(a[1] - b[1]) > _SNAP
    ]
    return kept if len(kept) >= 3 else []


def _parted_at_pinches(ring: list[_Key]) -> list[list[_Key]]:
    """Part a ring that comes back to one of its vertices into rings that do not."""
    parts: list[list[_Key]] = []
    path: list[_Key] = []
    place: dict[_Key, int] = {}
    for key in ring:
        if key in place:
            first = place[key]
            parts.append(path[first:])
            for dropped in path[first:]:
                del place[dropped]
            del path[first:]
        place[key] = len(path)
        path.append(key)
    parts.append(path)
    return parts


def _without_spikes(ring: list[_Key]) -> list[_Key]:
    """Drop vertices where the ring turns back on itself, which bound no area."""
    kept: list[_Key] = []
    for key in ring:
        kept.append(key)
        while len(kept) > 2 and _turns_back(*kept[-3:]):
            del kept[-2]
    while len(kept) > 2 and _turns_back(kept[-2], kept[-1], kept[0]):
        kept.pop()
    while len(kept) > 2 and _turns_back(kept[-1], kept[0], kept[1]):
        kept.pop(0)
    return kept if len(kept) >= 3 else []


def _turns_back(a: _Key, b: _Key, c: _Key) -> bool:
    abx, aby, bcx, bcy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    if abx * bcx + aby * bcy > 0:
        return False
    off = abs(abx * bcy - aby * bcx)
    return off <= _SNAP * max(math.hypot(abx, aby), math.hypot(bcx, bcy))


def _runs(ways: list[tuple[int, int]]) -> list[tuple[int, tuple[int, int]]]:
    """Give (first edge, source and way) of each run of edges from one source, around the ring."""
    starts = [i for i, way in enumerate(ways) if way != ways[i - 1] or way[0] < 0]
    return [(start, ways[start]) for start in starts]


def _lies_on(point: _Key, piece: _Piece) -> bool:
    (ax, ay), (bx, by) = piece.start, piece.end
    dx, dy = bx - ax, by - ay
    px, py = point[0] - ax, point[1] - ay
    size = math.hypot(dx, dy)
    along = (px * dx + py * dy) / size
    return abs(px * dy - py * dx) <= _SNAP * size and -_SNAP <= along <= size + _SNAP


def _way(a: _Key, b: _Key, piece: _Piece) -> int:
    dx, dy = piece.end[0] - piece.start[0], piece.end[1] - piece.start[1]
    return 1 if (b[0] - a[0]) * dx + (b[1] - a[1]) * dy > 0 else -1
