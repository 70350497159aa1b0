"""Which way each axis is driven, and how its play is taken up.

With a backlash of b the carriage lags by b/2 behind the way that its axis was last driven. So each
leg is told b/2 further on its own way; where an axis turns back, the told place goes on by b while
the carriage stands still.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutpath.geometry.points import Floats, Ints
from cutpath.machine.legs import Legs, extremes, parted, with_standing_legs

_TAKEN_UP = 1e-6
"""mm; a carriage so near to where it should be needs no other approach."""


class Play:
    """One axis, and what is known of it: its carriage is between ``low`` and ``high``, mm."""

    def __init__(self, backlash: float) -> None:
        self.half = backlash / 2
        self.forget()

    def forget(self) -> None:
        """Take it that somebody, or the machine by itself, has moved the carriage."""
        self.low, self.high = -np.inf, np.inf

    def go(self, told: float) -> None:
        """Drive the axis to ``told``, mm."""
        self.low, self.high = self._after(told)

    def stand(self, place: float) -> None:
        """Take it that the carriage stands at ``place``, mm."""
        self.low = self.high = place

    def comes_to(self, place: float, way: float) -> bool:
        """Tell whether the carriage gets to ``place``, mm, when told so as for going ``way``."""
        ends = self._after(place + way * self.half)
        return not self.half or all(abs(end - place) <= _TAKEN_UP for end in ends)

    def way_to(self, place: float) -> float:
        """Give the way, +1 or −1, on which the carriage comes to ``place`` by itself."""
        return -1.0 if (self.low + self.high) / 2 > place else 1.0

    def _after(self, told: float) -> tuple[float, float]:
        low, high = told - self.half, told + self.half
        return min(max(self.low, low), high), min(max(self.high, low), high)


@dataclass(frozen=True, slots=True, eq=False)
class Driven:
    """``legs`` with those on which play is taken up, and the ways of both axes: +1 or −1.

    ``early`` and ``late`` (n, 2) are the ways at the start and the end of each; they differ on legs
    of no length only. 0 is an axis that stands still all through a cut.
    """

    legs: Legs
    early: Floats
    late: Floats


def drive(legs: Legs, cut: Ints, backlashes: Sequence[float], least: float) -> Driven:
    """Part ``legs`` where an axis with play turns back, and put a standing leg there.

    ``cut`` gives for each owner the number of its cut: one time that the tool is down. Going back
    by no more than ``least`` mm is no turn.
    """
    playing = [axis for axis, backlash in enumerate(backlashes) if backlash]
    for axis in playing:
        legs = parted(legs, *extremes(legs, axis, least / 2))
    cuts = cut[legs.owner]
    ways = np.zeros((len(legs), 2))
    for axis in playing:
        ways[:, axis] = _ways(legs.starts[:, axis], legs.ends[:, axis], cuts, least)
    turns = np.zeros(len(legs), dtype=np.bool_)
    turns[1:] = (ways[1:] != ways[:-1]).any(axis=1) & (cuts[1:] == cuts[:-1])
    standing, new = with_standing_legs(legs, turns)
    late = np.repeat(ways, 1 + turns, axis=0)
    early = late.copy()
    early[new] = ways[np.flatnonzero(turns) - 1]
    return Driven(standing, early, late)


def _ways(starts: Floats, ends: Floats, cuts: Ints, least: float) -> Floats:
    """Give the way of one axis on each leg."""
    bounds = [0, *(np.flatnonzero(np.diff(cuts)) + 1).tolist(), len(cuts)]
    places, lasts = starts.tolist(), ends.tolist()
    turned = np.zeros(len(cuts), dtype=np.int64)
    firsts = np.zeros(len(cuts))
    for a, b in pairwise(bounds):
        if a == b:
            continue
        firsts[a:b], turns = turning_points([*places[a:b], lasts[b - 1]], least)
        turned[[a + turn for turn in turns]] = 1
        turned[a:b] = np.cumsum(turned[a:b])
    return firsts * (1 - 2 * (turned % 2))


def turning_points(places: Sequence[float], least: float) -> tuple[int, list[int]]:
    """Tell which way an axis first goes through ``places``, mm, and where it turns back.

    Gives +1, −1 or 0 (it stands still), and the indexes of the farthest places before each turn.
    Going back by no more than ``least`` is no turn.
    """
    first = way = 0
    low = high = far = places[0]
    at_far = 0
    turns: list[int] = []
    for index, place in enumerate(places):
        ahead = (place - far) * way
        if way == 0:
            low, high = min(low, place), max(high, place)
            if high - low > least:
                first = way = 1 if place == high else -1
                far, at_far = place, index
        elif ahead >= 0:
            far, at_far = place, index
        elif -ahead > least:
            turns.append(at_far)
            way, far, at_far = -way, place, index
    return first, turns
