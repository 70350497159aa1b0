"""Which mark on one edge is which on the other."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.points import Floats
from cutpath.seam_report import LoneMark

_NUMBERED = re.compile(r"m\d+(-\d+)?")
"""Names that panels give to marks without one; they run by the outline, not by the seam."""


@dataclass(frozen=True, slots=True)
class Pairing:
    """Index pairs into both lists in the first's order, and the sum of their misfits, mm."""

    pairs: tuple[tuple[int, int], ...]
    cost: float


def paired(
    first: Sequence[LoneMark], second: Sequence[LoneMark], lengths: tuple[float, float]
) -> Pairing:
    """Pair marks (in order along the seam) by equal names, the rest by order and spacing."""
    named = _by_name(first, second)
    pairs = list(named)
    for low, high in _between(named, len(first), len(second)):
        rows = [i for i in range(low[0], high[0]) if not _taken(named, 0, i)]
        columns = [j for j in range(low[1], high[1]) if not _taken(named, 1, j)]
        if not rows or not columns:
            continue
        found = by_order([first[i] for i in rows], [second[j] for j in columns], lengths)
        pairs += [
            (rows[i], columns[j])
            for i, j in found.pairs
            if not (named and is_given(first[rows[i]].name) and is_given(second[columns[j]].name))
        ]
    pairs.sort()
    cost = sum(abs(first[i].station - second[j].station) for i, j in pairs)
    return Pairing(tuple(pairs), cost)


def is_given(name: str) -> bool:
    """Tell a name that somebody wrote from none, or a mere number."""
    return bool(name) and not _NUMBERED.fullmatch(name)


def _by_name(first: Sequence[LoneMark], second: Sequence[LoneMark]) -> list[tuple[int, int]]:
    """Pair names that stand exactly once on each side."""
    here, there = _single(first), _single(second)
    return sorted((here[name], there[name]) for name in here.keys() & there.keys())


def _single(marks: Sequence[LoneMark]) -> dict[str, int]:
    names = [mark.name for mark in marks]
    return {name: i for i, name in enumerate(names) if is_given(name) and names.count(name) == 1}


def _taken(named: Sequence[tuple[int, int]], side: int, index: int) -> bool:
    return any(pair[side] == index for pair in named)


def _between(
    named: Sequence[tuple[int, int]], rows: int, columns: int
) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """Give the (row, column) ranges between named pairs; one range when their order disagrees."""
    seconds = [j for _, j in named]
    if seconds != sorted(seconds):
        return [((0, 0), (rows, columns))]
    bounds = [(-1, -1), *named, (rows, columns)]
    return [((low[0] + 1, low[1] + 1), high) for low, high in itertools.pairwise(bounds)]


def by_order(
    first: Sequence[LoneMark], second: Sequence[LoneMark], lengths: tuple[float, float]
) -> Pairing:
    """Pair marks in order so that the misfits sum to least; any may stay alone.

    Tried with the edges laid start to start, end to end, and stretched to one length; a pair may
    be apart by at most the mean spacing of the side with more marks.
    """
    a = np.array([mark.station for mark in first])
    b = np.array([mark.station for mark in second])
    one, other = lengths
    spacing = one / (max(len(a), len(b)) + 1)
    stretch = one / other if other > 0 else 1.0
    trials = [b, b + (one - other), b * stretch]
    return min((_aligned(a, trial, spacing) for trial in trials), key=lambda found: found.cost)


def _aligned(a: Floats, b: Floats, spacing: float) -> Pairing:
    """Align two increasing runs: each pair costs its distance, each mark left alone half a spacing.

    The sequence alignment of Needleman and Wunsch (J. Mol. Biol. 48, 1970) on distances.
    """
    alone = spacing / 2
    cost = np.empty((len(a) + 1, len(b) + 1))
    cost[:, 0] = alone * np.arange(len(a) + 1)
    cost[0, :] = alone * np.arange(len(b) + 1)
    apart = np.abs(a[:, None] - b[None, :])
    for i in range(len(a)):
        for j in range(len(b)):
            skip = min(cost[i, j + 1], cost[i + 1, j]) + alone
            cost[i + 1, j + 1] = min(skip, cost[i, j] + apart[i, j])
    pairs = []
    i, j = len(a), len(b)
    while i and j:
        if cost[i, j] == cost[i - 1, j - 1] + apart[i - 1, j - 1]:
            i, j = i - 1, j - 1
            pairs.append((i, j))
        elif cost[i, j] == cost[i - 1, j] + alone:
            i -= 1
        else:
            j -= 1
    return Pairing(tuple(reversed(pairs)), float(cost[-1, -1]))
