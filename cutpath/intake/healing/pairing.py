"""Which of several ends that meet belong together: outlines first, ticks never.

What can be part of a loop is found by taking away, again and again, what has a free end. Among
the rest, ends that lie closer and run on straighter are joined first.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence

from cutpath.geometry.points import Floats
from cutpath.intake.healing.meetings import closes_itself

LONGEST_TICK = 40.0
"""A free-ended curve up to this long, mm, that meets an outline is a mark, not part of it."""

End = int
Near = Mapping[End, Mapping[End, float]]
"""For each end the ends that it may be joined to, with the gap, mm."""


def pair_up(near: Near, lengths: Sequence[float], leaving: Floats, tolerance: float) -> list[End]:
    """Give for each end of runs with ``lengths``, mm, the end that it is joined to, or -1.

    ``leaving`` (2 n, 2) are the unit directions in which the runs leave their ends.
    """
    partner = [-1] * (2 * len(lengths))
    ranked = _ranked(near, leaving, tolerance)
    spurs = _spurs(near, lengths)
    _join_best(ranked, lengths, partner, spurs)
    # Long spurs that are left over are torn outlines or long lines: they may still go together.
    _join_best(ranked, lengths, partner, {e for e in spurs if lengths[e // 2] <= LONGEST_TICK})
    return partner


def _ranked(near: Near, leaving: Floats, tolerance: float) -> list[tuple[float, End, End, float]]:
    ranked = []
    for a, others in near.items():
        for b, gap in others.items():
            if a < b:
                bend = (1 + float(leaving[a] @ leaving[b])) / 2
                ranked.append((round(gap / tolerance + bend if tolerance else bend, 9), a, b, gap))
    ranked.sort()
    return ranked


def _join_best(
    ranked: Sequence[tuple[float, End, End, float]],
    lengths: Sequence[float],
    partner: list[End],
    barred: set[End],
) -> None:
    for _, a, b, gap in ranked:
        if partner[a] >= 0 or partner[b] >= 0 or a in barred or b in barred:
            continue
        if a // 2 == b // 2 and not closes_itself(lengths[a // 2], gap):
            continue
        partner[a], partner[b] = b, a


def _spurs(near: Near, lengths: Sequence[float]) -> set[End]:
    """Give the ends by which free-ended runs hang on a place where others go on without them.

    The shortest is taken away first; what hung on it may then be free-ended itself.
    """
    live = {end: len(others) for end, others in near.items()}
    spurs: set[End] = set()

    def hangs(end: End) -> bool:
        if live.get(end ^ 1, 0) or not live.get(end, 0) or end in spurs:
            return False
        return live[end] > 1 or any(live[other] > 1 for other in near[end] if other not in spurs)

    waiting = [(lengths[end // 2], end) for end in near if hangs(end)]
    heapq.heapify(waiting)
    while waiting:
        _, end = heapq.heappop(waiting)
        if not hangs(end):
            continue
        spurs.add(end)
        live[end] = 0
        for other in near[end]:
            if other not in spurs:
                live[other] -= 1
                if live[other] == 0 and hangs(other ^ 1):
                    heapq.heappush(waiting, (lengths[other // 2], other ^ 1))
    return spurs
