"""Which pairs of edges are worth a closer look: the few best of each by length and marks alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.points import Floats, Ints
from cutpath.walk.evidence import MARK_REACH, agreeing_weight, length_weight
from cutpath.walk.sides import Side

_WINDOW = 0.06
"""Lengths further apart, as a share, are not compared; only names can bring such edges together."""
_MOST = 14
"""Candidates kept for each edge."""
_UNLIKE_COUNT = -1.5


def likely_pairs(sides: Sequence[Side]) -> list[tuple[int, int]]:
    """Give pairs (i < j) of numbers into ``sides``, every edge with its best few.

    Edges that are equally like come nearest by number first, as panels that are sewn together are
    mostly drawn side by side.
    """
    lengths = np.array([side.length for side in sides])
    order = np.argsort(lengths, kind="stable")
    ranked = lengths[order]
    forward, backward, counts = _mark_tables(sides)
    pairs: set[tuple[int, int]] = set()
    for i in range(len(sides)):
        low, high = np.searchsorted(
            ranked, [lengths[i] / (1 + _WINDOW), lengths[i] * (1 + _WINDOW)]
        )
        near = order[low:high]
        near = near[near != i]
        if not len(near):
            continue
        worth = length_weight(float(lengths[i]), lengths[near])
        worth += _marks_worth(i, near, forward, backward, counts)
        best = np.lexsort((np.abs(near - i), -np.round(worth, 3)))[:_MOST]
        pairs |= {(min(i, int(j)), max(i, int(j))) for j in near[best]}
    return sorted(pairs)


def _mark_tables(sides: Sequence[Side]) -> tuple[Floats, Floats, Ints]:
    """Give the stations of each edge's marks from both its ends, padded, and their counts."""
    counts = np.array([len(side.marks) for side in sides])
    forward = np.full((len(sides), max(int(counts.max(initial=0)), 1)), np.nan)
    backward = forward.copy()
    for row, side in enumerate(sides):
        stations = np.array([mark.station for mark in side.marks])
        forward[row, : len(stations)] = stations
        backward[row, : len(stations)] = (side.length - stations)[::-1]
    return forward, backward, counts


def _marks_worth(i: int, near: Ints, forward: Floats, backward: Floats, counts: Ints) -> Floats:
    own = counts[i]
    worth: Floats = _UNLIKE_COUNT * np.abs(counts[near] - own).astype(float)
    same = near[counts[near] == own]
    if own and len(same):
        table = np.array([agreeing_weight(k) + _UNLIKE_COUNT * (own - k) for k in range(own + 1)])
        here = forward[i, :own]
        agreeing = [
            (np.abs(there[same, :own] - here) <= MARK_REACH).sum(axis=1)
            for there in (forward, backward)
        ]
        worth[counts[near] == own] = table[np.maximum(*agreeing)]
    return worth
