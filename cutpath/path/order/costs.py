"""What it costs to go on from any way of a stop to any way of another, and who is near whom.

Every way of every stop is an option with a number. Two more stops stand for the start and the end
of the route. For a few thousand options all costs are worked out at once; beyond that each row
remembers what was asked of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutpath.geometry.neighbours import nearest_few
from cutpath.geometry.points import Floats, Ints, Points
from cutpath.path.order.stops import Work, flown

_DENSE = 1800
"""Options up to which all costs are kept: 3 million numbers."""
_NEAR = 10
_ASKED = 14
_FAR = 1e15
"""Dearer than anything, and still a number that can be added up."""


class Row(dict[int, float]):
    """The costs from one option on, worked out when they are first asked for."""

    __slots__ = ("_from", "_table")

    def __init__(self, table: Table, option: int) -> None:
        super().__init__()
        self._table = table
        self._from = option

    def __missing__(self, option: int) -> float:
        cost = self._table.cost(self._from, option)
        self[option] = cost
        return cost


@dataclass(frozen=True, slots=True, eq=False)
class Options:
    """All ways of all stops, numbered through; the last two are the route's start and end.

    ``back[o]`` is the option that is ``o`` run the other way; ``o`` itself where there is none, and
    then ``one_way`` tells that the two ends differ.
    """

    owner: Ints
    entries: Points
    exits: Points
    tool: Ints
    back: list[int]
    one_way: list[bool]
    by_stop: list[list[int]]

    @property
    def has_strokes(self) -> bool:
        """Whether any option ends elsewhere than it begins."""
        return bool((self.entries != self.exits).any())


def options_of(work: Work, ways: Sequence[Ints]) -> Options:
    """Give the options: the ``ways`` of every stop that may be taken, numbered through."""
    stops = work.stops
    counts = [len(each) for each in ways]
    owner = np.repeat(np.arange(len(stops) + 2), [*counts, 1, 1])
    end = work.start if work.end is None else work.end
    ends = np.stack([work.start, end])
    entries = np.concatenate([*(s.entries[w] for s, w in zip(stops, ways, strict=True)), ends])
    exits = np.concatenate([*(s.exits[w] for s, w in zip(stops, ways, strict=True)), ends])
    tool = np.array([*(stop.tool for stop in stops), -1, -1])[owner]
    firsts = np.concatenate([[0], np.cumsum([*counts, 1, 1])]).tolist()
    by_stop = [list(range(a, b)) for a, b in pairwise(firsts)]
    is_loop = (entries == exits).all(axis=1)
    back, one_way = list(range(len(owner))), [False] * len(owner)
    for option in np.flatnonzero(~is_loop).tolist():
        mine = by_stop[int(owner[option])]
        turned = [
            other
            for other in mine
            if (entries[other] == exits[option]).all() and (exits[other] == entries[option]).all()
        ]
        back[option] = turned[0] if turned else option
        one_way[option] = not turned
    return Options(owner, entries, exits, tool, back, one_way, by_stop)


class Table:
    """Costs between options: ``rows[a][b]`` from the exit of a to the entry of b.

    A change of tools is in them, and so is the wait when two that must cool follow one another.
    """

    def __init__(self, work: Work, options: Options) -> None:
        self.work = work
        self.options = options
        self.is_open = work.end is None
        self.cools = {(c.first, c.second): c.seconds for c in work.cooling}
        self.cools.update({(c.second, c.first): c.seconds for c in work.cooling})
        count = len(options.owner)
        self.dense = self._all_costs() if count <= _DENSE else None
        self.rows: list[list[float]] | list[Row]
        if self.dense is not None:
            self.rows = self.dense.tolist()
        else:
            self._entries: list[tuple[float, float]] = [(x, y) for x, y in options.entries.tolist()]
            self._exits: list[tuple[float, float]] = [(x, y) for x, y in options.exits.tolist()]
            self._tools: list[int] = options.tool.tolist()
            self._owners: list[int] = options.owner.tolist()
            self.rows = [Row(self, option) for option in range(count)]

    def _all_costs(self) -> Floats:
        options = self.options
        costs = flown(options.exits[:, None], options.entries[None], self.work.measure)
        tool = options.tool
        differ = (tool[:, None] != tool[None]) & (tool[:, None] >= 0) & (tool[None] >= 0)
        costs = costs + self.work.change * differ
        for (first, second), seconds in self.cools.items():
            block = np.ix_(options.by_stop[first], options.by_stop[second])
            costs[block] = np.maximum(costs[block], seconds)
        if self.is_open:
            costs[:, -1] = 0.0
        return np.asarray(costs)

    def cost(self, a: int, b: int) -> float:
        """Give the cost from option ``a`` to option ``b``."""
        if self.is_open and b == len(self._owners) - 1:
            return 0.0
        x, y = self._exits[a]
        u, v = self._entries[b]
        cost = self.work.measure.one(((u - x) ** 2 + (v - y) ** 2) ** 0.5)
        if self._tools[a] != self._tools[b] and self._tools[a] >= 0 and self._tools[b] >= 0:
            cost += self.work.change
        if self.cools:
            return max(cost, self.cools.get((self._owners[a], self._owners[b]), 0.0))
        return cost


def near_stops(work: Work, table: Table) -> list[list[tuple[int, float]]]:
    """Give for each stop those of its level that may follow cheaply, and the least that costs."""
    if table.dense is not None:
        return _nearest_of_all(work, table)
    return _nearest_of_many(work, table)


def _nearest_of_all(work: Work, table: Table) -> list[list[tuple[int, float]]]:
    assert table.dense is not None
    firsts = np.array([options[0] for options in table.options.by_stop])
    least = np.minimum.reduceat(table.dense, firsts, axis=0)
    least = np.minimum.reduceat(least, firsts, axis=1)[:-2, :-2]
    least = np.minimum(least, least.T)
    level = np.array([stop.level for stop in work.stops])
    least[(level[:, None] != level[None]) | np.eye(len(least), dtype=bool)] = _FAR
    ranked = np.argsort(least, axis=1, kind="stable")[:, :_NEAR]
    costs = np.take_along_axis(least, ranked, axis=1)
    return [
        [(other, cost) for other, cost in zip(others, row, strict=True) if cost < _FAR]
        for others, row in zip(ranked.tolist(), costs.tolist(), strict=True)
    ]


def _nearest_of_many(work: Work, table: Table) -> list[list[tuple[int, float]]]:
    """Look near the middles of loops and the ends of strokes, level by level."""
    level = np.array([stop.level for stop in work.stops])
    pairs = []
    for each in np.unique(level):
        mine = np.flatnonzero(level == each)
        anchors, owner = _anchors(work, mine)
        if len(mine) < 2:
            continue
        found = nearest_few(anchors, _ASKED)
        stop = np.repeat(owner, found.shape[1])
        other = owner[found.ravel()]
        pairs.append(np.column_stack([stop, other])[stop != other])
    if not pairs:
        return [[] for _ in work.stops]
    both = np.unique(np.concatenate(pairs), axis=0)
    reach = _least_costs(work, table, both)
    near: list[list[tuple[int, float]]] = [[] for _ in work.stops]
    ranked = np.lexsort((both[:, 1], reach))
    firsts, others = both[ranked].T.tolist()
    for first, other, cost in zip(firsts, others, reach[ranked].tolist(), strict=True):
        if len(near[first]) < _NEAR:
            near[first].append((other, cost))
    return near


def _anchors(work: Work, stops: Ints) -> tuple[Points, Ints]:
    points, owner = [], []
    for index in stops.tolist():
        stop = work.stops[index]
        if (stop.entries == stop.exits).all():
            points.append(stop.entries.mean(axis=0, keepdims=True))
        else:
            points.append(np.unique(np.concatenate([stop.entries, stop.exits]), axis=0))
        owner += [index] * len(points[-1])
    return np.concatenate(points), np.array(owner)


def _least_costs(work: Work, table: Table, pairs: Ints) -> Floats:
    """Give the least cost between any ways of each of (m, 2) pairs of stops, either way round."""
    options = table.options
    has_strokes = options.has_strokes
    counts = np.array([len(mine) for mine in options.by_stop])
    firsts = np.array([mine[0] for mine in options.by_stop])
    least = np.full(len(pairs), np.inf)
    a, b = pairs.T
    for one in range(int(counts[a].max())):
        for other in range(int(counts[b].max())):
            rows = np.flatnonzero((counts[a] > one) & (counts[b] > other))
            p, q = firsts[a[rows]] + one, firsts[b[rows]] + other
            least[rows] = np.minimum(least[rows], _gaps(options, p, q, both=has_strokes))
    least = np.asarray(work.measure.many(least))
    tool = np.array([stop.tool for stop in work.stops])
    return np.asarray(least + work.change * (tool[a] != tool[b]))


def _gaps(options: Options, p: Ints, q: Ints, *, both: bool) -> Floats:
    there = options.entries[q] - options.exits[p]
    gap = np.hypot(there[:, 0], there[:, 1])
    if not both:
        return np.asarray(gap)
    back = options.entries[p] - options.exits[q]
    return np.asarray(np.minimum(gap, np.hypot(back[:, 0], back[:, 1])))
