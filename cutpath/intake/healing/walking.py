"""Curves whose ends are paired, walked from end to end: loops that pass each place once, and runs.

A walk is a list of ends, those by which it enters each curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.intake.healing.pairing import End, Near

Walk = list[End]
_EQUAL = 1e-6


@dataclass(frozen=True, slots=True)
class Walks:
    """Walks that end where they begin, and those that don't."""

    loops: list[Walk]
    runs: list[Walk]


def walks(partner: Sequence[End]) -> Walks:
    """Walk all curves; ``partner`` (2 n) gives the end that each end is joined to, or -1."""
    done = [False] * (len(partner) // 2)
    found = Walks([], [])
    starts = [end for end, mate in enumerate(partner) if mate < 0]
    for entry in (*starts, *range(0, len(partner), 2)):
        if done[entry // 2]:
            continue
        walk: Walk = []
        here = entry
        while here >= 0 and not done[here // 2]:
            done[here // 2] = True
            walk.append(here)
            here = partner[here ^ 1]
        (found.loops if here == entry else found.runs).append(walk)
    return found


def parted(found: Walks, near: Near) -> Walks:
    """Part walks that come twice through one place, as panels that touch at a corner do.

    ``near`` tells which ends may be joined; what is parted is joined with gaps no wider.
    """
    out = Walks([], [])
    for walk in found.loops:
        out.loops.append(_part(walk, near, out.loops, closes=True))
    for walk in found.runs:
        out.runs.append(_part(walk, near, out.loops, closes=False))
    return out


def _part(walk: Walk, near: Near, loops: list[Walk], *, closes: bool) -> Walk:
    """Give what is left of ``walk`` when the loops within it have gone to ``loops``."""
    trail: Walk = []
    place: dict[End, int] = {}
    for entry in walk:
        if trail:
            _cut_off(trail, place, entry, near, loops)
        place[entry] = len(trail)
        trail.append(entry)
    if closes and len(trail) > 1:
        _cut_off(trail, place, trail[0], near, loops)
    return trail


def _cut_off(trail: Walk, place: dict[End, int], entry: End, near: Near, loops: list[Walk]) -> None:
    """Move what lies between two visits of one place from ``trail`` to ``loops``."""
    while True:
        leaving = trail[-1] ^ 1
        known = near.get(leaving, {})
        best = -1
        for again, gap in known.items():
            at = place.get(again, 0)
            if at == 0:  # not passed, or where the walk began
                continue
            before = trail[at - 1] ^ 1
            onward = near.get(entry, {}).get(before)
            passed = near[again].get(before)
            now = known.get(entry)
            if onward is None or passed is None or now is None:
                continue
            if gap + onward <= now + passed + _EQUAL:
                best = max(best, at)
        if best < 0:
            return
        loops.append(trail[best:])
        for end in trail[best:]:
            del place[end]
        del trail[best:]
