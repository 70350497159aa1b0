"""Which points lie near one another, in near-linear time."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.points import Bools, Floats, Ints, Points

_STRIDE = 0x9E3779B97F4A7C15 - (1 << 64)
"""Odd and wide: cells far apart rarely share a key, and when they do the distance parts them."""
_FARTHEST_CELL = float(1 << 52)
MOST_PAIRS = 20_000_000


def close_pairs(points: Points, within: float, asking: Bools | None = None) -> tuple[Ints, Ints]:
    """Give all pairs i < j of (n, 2) ``points`` not more than ``within`` mm apart, each (k,).

    With ``asking``, (n,), only pairs of which one at least asks. Points are sorted into square
    cells as wide as ``within``, so that only the nine cells around each have to be looked through.
    Raises OverflowError when more than ``MOST_PAIRS`` would have to be looked at.
    """
    asks = np.ones(len(points), dtype=bool) if asking is None else asking
    rows = np.flatnonzero(asks)
    if not len(rows) or within <= 0:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    key = _cell_keys(points, within)
    order = np.argsort(key, kind="stable")
    ranked = key[order]
    found = []
    looked = 0
    for step in _steps_around():
        low = np.searchsorted(ranked, key[rows] + step, side="left")
        count = np.searchsorted(ranked, key[rows] + step, side="right") - low
        looked += int(count.sum())
        if looked > MOST_PAIRS:
            raise OverflowError("too many points near one another")
        first = np.repeat(rows, count)
        second = order[spread_ranges(low, count)]
        gap = np.hypot(*(points[first] - points[second]).T)
        # Two that both ask find each other: once is enough.
        near = (gap <= within) & ((first < second) | ~asks[second])
        found.append(np.stack([first[near], second[near]], axis=1))
    pairs = np.sort(np.concatenate(found), axis=1)
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    return pairs[:, 0], pairs[:, 1]


def spread_ranges(low: Ints, count: Ints) -> Ints:
    """Give low, low + 1 … (``count`` numbers) for each entry, end to end."""
    before = np.concatenate([[0], np.cumsum(count)])
    return np.asarray(np.arange(before[-1]) - np.repeat(before[:-1] - low, count))


def _cell_keys(points: Points, within: float) -> Ints:
    cells: Floats = np.clip(np.floor(points / within), -_FARTHEST_CELL, _FARTHEST_CELL)
    whole = cells.astype(np.int64)
    return np.asarray(whole[:, 0] * np.int64(_STRIDE) + whole[:, 1])


def _steps_around() -> Ints:
    """Give what to add to a cell's key for it and each of its eight neighbours."""
    along = np.repeat(np.array([-1, 0, 1], dtype=np.int64), 3) * np.int64(_STRIDE)
    return along + np.tile(np.array([-1, 0, 1], dtype=np.int64), 3)
