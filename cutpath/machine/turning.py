"""Which way a blade that is turned by an axis points, and how that axis never winds up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Floats
from cutpath.geometry.splitting import between_joints
from cutpath.moves import Follow, Move, Turn

RIDING = math.radians(1.0)
"""A turn below this is made along the next segment instead of standing still."""


def headings_along(chain: Chain, before: float) -> Floats:
    """Give the blade's headings at the start and the end of each segment, (n, 2) radians.

    ``before`` is the heading before it; every turn is the shorter one, and all add up.
    """
    x, y = (chain.ends - chain.starts).T
    course, half = np.arctan2(y, x), 2 * np.arctan(chain.bulges)
    leave = course - half
    turns = np.append(leave[0] - before, leave[1:] - (course + half)[:-1])
    turns -= 2 * np.pi * np.rint(turns / (2 * np.pi))
    arrive = before + np.cumsum(turns + 2 * half)
    return np.stack([arrive - 2 * half, arrive], axis=1)


def within_range(run: Chain, heading: float, most: float) -> Iterator[tuple[Chain, float]]:
    """Part ``run`` where the axis would turn beyond ±``most``; give each part's first heading.

    Each heading is the one nearest to the last, of those that differ by whole turns, from which
    the part can be cut. ``most`` is at least π.
    """
    while True:
        along = headings_along(run, heading)
        base = float(along[0, 0])
        low = np.minimum.accumulate(along.min(axis=1)) - base
        high = np.maximum.accumulate(along.max(axis=1)) - base
        count = max(1, int(np.searchsorted(high - low > 2 * most + 1e-9, True)))
        count, first = _fitting(low, high, count, base, most)
        yield between_joints(run, 0, count), first
        if count == len(run):
            return
        heading = first + float(along[count - 1, 1]) - base
        run = between_joints(run, count, len(run))


def _fitting(low: Floats, high: Floats, count: int, base: float, most: float) -> tuple[int, float]:
    """Give how many segments can be cut in one go, and from which heading."""
    turn = 2 * math.pi
    while True:
        least, last = -most - low[count - 1], most - high[count - 1]
        steps = range(
            math.ceil((least - base) / turn - 1e-9), math.floor((last - base) / turn + 1e-9) + 1
        )
        if steps:
            return count, base + turn * min(steps, key=lambda step: (abs(step), step))
        if count == 1:
            # Half a turn of an arc and a range of at least a turn: there is always one.
            return 1, base - turn * math.floor((base + most) / turn)
        count -= 1


def parted_at_turns(run: Chain) -> list[Chain]:
    """Cut an open ``run`` where the blade has to turn standing still."""
    along = headings_along(run, 0.0)
    turns = np.abs(along[1:, 0] - along[:-1, 1])
    bounds = [0, *(np.flatnonzero(turns > RIDING) + 1).tolist(), len(run)]
    return [between_joints(run, a, b) for a, b in pairwise(bounds)]


def turned_follows(run: Chain, heading: float) -> tuple[list[Move], float]:
    """Give the turns and the ways of one cut that begins at ``heading``, and the last heading."""
    moves: list[Move] = []
    for part in parted_at_turns(run):
        along = headings_along(part, heading)
        moves += [Turn(float(along[0, 0])), Follow(part, headings=along)]
        heading = float(along[-1, 1])
    return moves, heading
