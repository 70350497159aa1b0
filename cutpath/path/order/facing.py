"""Which few ways of a stop are worth a look while the order changes: those that face others."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.close_pairs import spread_ranges
from cutpath.geometry.neighbours import nearest_few
from cutpath.geometry.points import Floats, Ints, Points
from cutpath.path.order.stops import Stop, Visit, Work

_WAYS = 8
_ENOUGH = 6
"""Ways of a stop that are looked at, and up to how many a stop keeps all."""
_LOOKS = 2
"""How often two stops look for the place nearest to the other's."""


def likely_ways(work: Work, visits: Sequence[Visit]) -> list[Ints]:
    """Choose the ways of each stop that face the stops near it and beside it, and the one taken."""
    stops = work.stops
    chosen = [np.arange(len(stop.entries)) for stop in stops]
    counts = np.array([len(each) for each in chosen])
    large = np.flatnonzero(counts > _ENOUGH)
    if not len(large):
        return chosen
    pairs = _pairs(stops, [stop for stop, _ in visits], set(large.tolist()))
    facing = _facing_ways(stops, pairs) if len(pairs) else np.zeros(0, dtype=np.int64)
    kept: dict[int, list[int]] = {stop: [way] for stop, way in visits if counts[stop] > _ENOUGH}
    for stop, way in zip(pairs[:, 0].tolist(), facing.tolist(), strict=True):
        mine = kept[stop]
        if len(mine) < _WAYS and way not in mine:
            mine.append(way)
    for stop, ways in kept.items():
        chosen[stop] = np.sort(ways)
    return chosen


def _pairs(stops: Sequence[Stop], order: Sequence[int], large: set[int]) -> Ints:
    """Give (stop, other) for every large stop: those beside it now first, then those near it."""
    middles = np.array([stop.entries.mean(axis=0) for stop in stops])
    near = nearest_few(middles, _WAYS)
    line = np.array(order)
    beside = np.concatenate([np.column_stack([line[:-1], line[1:]]),
                             np.column_stack([line[1:], line[:-1]])])  # fmt: skip
    mine = np.repeat(np.arange(len(stops)), near.shape[1])
    pairs = np.concatenate([beside, np.column_stack([mine, near.ravel()])])
    return pairs[np.isin(pairs[:, 0], list(large))]


def _facing_ways(stops: Sequence[Stop], pairs: Ints) -> Ints:
    """Give for each pair the way of the first that is near the second, by looking to and fro."""
    counts = np.array([len(stop.entries) for stop in stops])
    firsts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    entries = np.concatenate([stop.entries for stop in stops])
    mine, theirs = pairs.T
    target = np.array([stop.entries.mean(axis=0) for stop in stops])[theirs]
    way = np.zeros(len(pairs), dtype=np.int64)
    for look in range(2 * _LOOKS - 1):
        side = mine if look % 2 == 0 else theirs
        way = _nearest_way(entries, firsts[side], counts[side], target)
        target = entries[firsts[side] + way]
    return way


def _nearest_way(entries: Points, first: Ints, count: Ints, target: Points) -> Ints:
    """Give for each row the number, from ``first`` on, of the entry nearest to its target."""
    rows = np.repeat(np.arange(len(first)), count)
    option = spread_ranges(first, count)
    away = entries[option] - target[rows]
    gap: Floats = np.hypot(away[:, 0], away[:, 1])
    begins = np.concatenate([[0], np.cumsum(count)[:-1]])
    least = np.minimum.reduceat(gap, begins)
    hits = np.flatnonzero(gap == least[rows])
    _, firsts = np.unique(rows[hits], return_index=True)
    return np.asarray(option[hits[firsts]] - first)
