"""Whole pieces moved as one: runs of stops that hang together, made one stop for a while.

A piece whose inner work comes before its outline cannot be turned around stop by stop; as a block,
entered at its first stop and left at its last, it is moved like any other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutpath.path.order.stops import Stop, Visit, Work


def blocks_of(work: Work, visits: Sequence[Visit]) -> list[list[Visit]]:
    """Part ``visits`` into runs of one tool and level that rules tie together, in order."""
    group = _groups(work)
    blocks: list[list[Visit]] = []
    last: tuple[int, int, int] | None = None
    for visit in visits:
        stop = work.stops[visit[0]]
        mine = (group[visit[0]], stop.tool, stop.level)
        if mine != last:
            blocks.append([])
        blocks[-1].append(visit)
        last = mine
    return blocks


def _groups(work: Work) -> list[int]:
    """Give each stop a number so that those tied by any rule have the same number."""
    group = list(range(len(work.stops)))

    def root(stop: int) -> int:
        while group[stop] != stop:
            group[stop] = group[group[stop]]
            stop = group[stop]
        return stop

    for stop, each in enumerate(work.stops):
        for before in each.after:
            group[root(before)] = root(stop)
    return [root(stop) for stop in range(len(group))]


def work_of_blocks(work: Work, blocks: Sequence[Sequence[Visit]]) -> Work:
    """Give the same work with every block as one stop: block i of the order becomes stop i."""
    owner = {stop: number for number, block in enumerate(blocks) for stop, _ in block}
    stops = []
    for number, block in enumerate(blocks):
        (first, in_way), (last, out_way) = block[0], block[-1]
        if len(block) == 1:
            entries, exits = work.stops[first].entries, work.stops[first].exits
        else:
            entries = work.stops[first].entries[in_way][None]
            exits = work.stops[last].exits[out_way][None]
        befores = {owner[before] for stop, _ in block for before in work.stops[stop].after}
        head = work.stops[first]
        after = tuple(sorted(befores - {number}))
        stops.append(Stop(entries, exits, head.tool, head.level, after))
    return replace(work, stops=tuple(stops))
