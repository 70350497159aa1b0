"""Open curves joined end to end into loops, by where their ends meet."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain, closed_up, joined, reversed_chain
from cutpath.geometry.clusters import clusters
from cutpath.geometry.measure import end_tangents, length
from cutpath.geometry.points import Floats, Ints, Points, locked
from cutpath.model import Curve

LONGEST_TICK = 40.0
"""A free-ended curve up to this long, mm, that meets an outline is a mark, not part of it."""

End = int
"""End number 2 i is where curve i begins, 2 i + 1 where it ends."""


@dataclass(frozen=True, slots=True, eq=False)
class Joined:
    """Closed and still open curves, and the largest distance that an end was moved, mm."""

    closed: list[Curve]
    open: list[Curve]
    bridged: int
    moved: float


def join(curves: Sequence[Curve], tolerance: float) -> Joined:
    """Join open ``curves`` whose ends lie within ``tolerance`` mm; ends go to their middle."""
    if not curves:
        return Joined([], [], 0, 0.0)
    ends = np.array([point for c in curves for point in (c.chain.points[0], c.chain.points[-1])])
    node = clusters(ends, tolerance)
    count = int(node.max()) + 1
    sums = np.stack([np.bincount(node, ends[:, axis], count) for axis in (0, 1)], axis=1)
    middle: Points = sums / np.bincount(node, minlength=count)[:, None]
    partner = _partners(curves, node.tolist(), ends)
    runs = _runs(len(curves), partner)
    closed: list[Curve] = []
    still_open: list[Curve] = []
    for run, is_closed in runs:
        curve = _assembled(curves, run, node, middle, is_closed=is_closed)
        (closed if is_closed else still_open).append(curve)
    linked = np.flatnonzero([mate is not None for mate in partner])
    shift = np.hypot(*(ends[linked] - middle[node[linked]]).T) if len(linked) else np.zeros(1)
    bridged = int((shift > 1e-6).sum() + 1) // 2
    return Joined(closed, still_open, bridged, float(shift.max(initial=0.0)))


def _partners(curves: Sequence[Curve], node: list[int], ends: Points) -> list[End | None]:
    """Give, for each end, the end that it is joined to."""
    at: dict[int, list[End]] = defaultdict(list)
    for end, where in enumerate(node):
        at[where].append(end)
    loose = _without_ticks(curves, node, at)
    partner: list[End | None] = [None] * len(ends)
    for meeting in at.values():
        here = [end for end in meeting if end not in loose]
        if len(here) == 2:
            partner[here[0]], partner[here[1]] = here[1], here[0]
        elif len(here) > 2:
            _pair_straightest(curves, here, partner)
    return partner


def _without_ticks(curves: Sequence[Curve], node: list[int], at: dict[int, list[End]]) -> set[End]:
    """Give the ends of short free-ended curves where three or more meet."""
    loose: set[End] = set()
    for meeting in at.values():
        if len(meeting) < 3:
            continue
        for end in meeting:
            other = end ^ 1
            free = len(at[node[other]]) == 1
            if free and length(curves[end // 2].chain) <= LONGEST_TICK:
                loose.add(end)
    return loose


def _pair_straightest(curves: Sequence[Curve], here: list[End], partner: list[End | None]) -> None:
    """Pair the ends that meet at one place so that the lines run on as straight as they can."""
    leaving = {end: _outward(curves[end // 2].chain, end) for end in here}
    pairs = sorted(
        (float(leaving[a] @ leaving[b]), a, b) for i, a in enumerate(here) for b in here[i + 1 :]
    )
    taken: set[End] = set()
    for _, a, b in pairs:
        if a not in taken and b not in taken:
            partner[a], partner[b] = b, a
            taken |= {a, b}


def _outward(chain: Chain, end: End) -> Floats:
    """Give the direction in which a curve leaves its end, away from the meeting."""
    first, last = end_tangents(chain)
    return first if end % 2 == 0 else -last


def _runs(count: int, partner: list[End | None]) -> list[tuple[list[End], bool]]:
    """Give runs of curves as the ends at which each is entered, and whether the run closes."""
    done = [False] * count
    runs: list[tuple[list[End], bool]] = []
    starts = [end for end in range(2 * count) if partner[end] is None]
    for entry in (*starts, *range(0, 2 * count, 2)):
        if done[entry // 2]:
            continue
        run: list[End] = []
        here: End | None = entry
        while here is not None and not done[here // 2]:
            done[here // 2] = True
            run.append(here)
            here = partner[here ^ 1]
        runs.append((run, here == entry))
    return runs


def _assembled(
    curves: Sequence[Curve], run: list[End], node: Ints, middle: Points, *, is_closed: bool
) -> Curve:
    parts = []
    for position, entry in enumerate(run):
        chain = curves[entry // 2].chain
        begin = middle[node[entry]] if is_closed or position else None
        finish = middle[node[entry ^ 1]] if is_closed or position < len(run) - 1 else None
        if entry % 2:
            chain = reversed_chain(chain)
        parts.append(_ended(chain, begin, finish))
    whole = joined(parts)
    first = curves[run[0] // 2]
    more = "" if len(run) == 1 else f" and {len(run) - 1} more"
    source = replace(first.source, entity=first.source.entity + more)
    return replace(first, chain=closed_up(whole) if is_closed else whole, source=source)


def _ended(chain: Chain, begin: Floats | None, finish: Floats | None) -> Chain:
    """Give ``chain`` with its ends moved; handles beside a moved end move along."""
    if begin is None and finish is None:
        return chain
    points, handles = chain.points.copy(), chain.handles.copy()
    if begin is not None:
        handles[0, 0] += begin - points[0]
        points[0] = begin
    if finish is not None:
        handles[-1, 1] += finish - points[-1]
        points[-1] = finish
    return Chain(locked(points), chain.bulges, locked(handles), closed=False)


def nearest_gap(curve: Curve, others: Sequence[Curve]) -> tuple[float, Floats, Floats, Curve]:
    """Give the smallest gap from an end of an open ``curve`` to an end of another or its own.

    Gives the gap, mm, both ends, and the other curve.
    """
    best = (math.inf, curve.chain.first, curve.chain.last, curve)
    mine = (curve.chain.first, curve.chain.last)
    for other in others:
        if other is curve:
            pairs = [mine]
        else:
            theirs = (other.chain.first, other.chain.last)
            pairs = [(a, b) for a in mine for b in theirs]
        for a, b in pairs:
            gap = float(np.hypot(*(a - b)))
            if gap < best[0]:
                best = (gap, a, b, other)
    return best
