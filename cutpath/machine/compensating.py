"""Moves as wanted to moves as told: what a machine of measured faults must hear.

The profile's model (settings/profile_compensation.py): the carriage lags by the play of each axis,
its place is stretched and leans, and each tool lands its own offset away. Here all of it is taken
back, so that what happens is what was wanted.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Floats, Ints, Point, locked
from cutpath.geometry.transform import Matrix
from cutpath.machine.legs import gathered, mapped
from cutpath.machine.play import Driven, Play, drive
from cutpath.moves import Dwell, Follow, Lower, Move, SelectTool, Travel, Turn
from cutpath.settings.profile import Compensation, Profile
from cutpath.settings.profile_check import smallest_step

_LEAST_TURN = 4e-4
"""mm; going back by less, or by less than half a step of the file's numbers, is no turn."""
_PAST = 0.05
"""mm, and half of the play more: how far past a place it is approached from, with the tool up."""


def compensated(moves: Sequence[Move], profile: Profile) -> tuple[Move, ...]:
    """Give ``moves`` as the profile's machine must be told them; as they are where it is faultless.

    Each stroke begins with its play taken up: where it is not on the way there, the tool first goes
    a little past its place, up. Ways are parted where an axis turns back, with a leg between on
    which the told place goes on by the play and the tool stands still.
    """
    return tuple(move for told in told_by_move(moves, profile) for move in told)


def told_by_move(moves: Sequence[Move], profile: Profile) -> list[tuple[Move, ...]]:
    """Give what must be told for each of ``moves``: together that is what ``compensated`` gives."""
    has_offsets = any(any(tool.offset) for tool in profile.tools.values())
    if not profile.compensation.moves_places and not has_offsets:
        return [(move,) for move in moves]
    return list(_Teller(moves, profile).told())


def to_carriage(faults: Compensation) -> Matrix:
    """Give the 2 × 3 matrix from where the carriage should be to its place without the faults."""
    x, y, skew = faults.x_scale, faults.y_scale, faults.skew
    return np.array([[1 / x, -math.tan(skew) / x, 0.0], [0.0, 1 / (y * math.cos(skew)), 0.0]])


class _Teller:
    """Walks through the moves, and remembers the tool in hand and what is known of the play."""

    def __init__(self, moves: Sequence[Move], profile: Profile) -> None:
        faults = profile.compensation
        self.moves = moves
        self.offsets = {name: np.array(tool.offset) for name, tool in profile.tools.items()}
        self.offset = np.zeros(2)
        self.inward = to_carriage(faults)
        self.outward = np.linalg.inv(self.inward[:, :2])
        self.reach = np.array(profile.reach()).reshape(2, 2)
        self.plays = (Play(faults.x_backlash), Play(faults.y_backlash))
        self.halves = np.array([play.half for play in self.plays])
        self.ways = np.zeros(2)
        self.driven = self._driven(max(_LEAST_TURN, smallest_step(profile) / 2))
        owners = self.driven.legs.owner
        self.bounds = np.searchsorted(owners, np.arange(owners.max(initial=-1) + 2)).tolist()

    def _driven(self, least: float) -> Driven:
        follows = [move for move in self.moves if isinstance(move, Follow)]
        tools, cuts = self._tools_and_cuts()
        legs = gathered(follows)
        shift = tools[legs.owner]
        legs = replace(legs, starts=legs.starts - shift, ends=legs.ends - shift)
        return drive(mapped(legs, self.inward), cuts, (2 * self.halves).tolist(), least)

    def _tools_and_cuts(self) -> tuple[Floats, Ints]:
        """Give for each follow its tool's offset, (m, 2), and the number of its cut, (m,)."""
        offsets, cuts, offset, cut = [], [], np.zeros(2), -1
        for move in self.moves:
            match move:
                case SelectTool(name):
                    offset = self.offsets[name]
                case Lower():
                    cut += 1
                case Follow():
                    offsets.append(offset)
                    cuts.append(cut)
                case _:
                    pass
        return np.array(offsets).reshape(-1, 2), np.array(cuts, dtype=np.int64)

    def told(self) -> Iterator[tuple[Move, ...]]:
        """Give what is told for each move."""
        number = 0  # of the next follow
        for index, move in enumerate(self.moves):
            match move:
                case SelectTool(name):
                    self.offset = self.offsets[name]
                    for play in self.plays:
                        play.forget()  # it may have gone to another place for the change
                    yield (move,)
                case Travel(to):
                    is_approach, has_line = self._what_comes(index)
                    yield tuple(self._travel(to, is_approach, number if has_line else None))
                case Follow():
                    yield (self._follow(move, number),)
                    number += 1
                case _:
                    yield (move,)

    def _what_comes(self, index: int) -> tuple[bool, bool]:
        """Tell whether the tool is lowered after this travel, and whether it is then led."""
        is_lowered = False
        while (index := index + 1) < len(self.moves):
            match self.moves[index]:
                case Turn() | Dwell():
                    pass
                case Lower() if not is_lowered:
                    is_lowered = True
                case move:
                    return is_lowered, is_lowered and isinstance(move, Follow)
        return is_lowered, False

    def _travel(self, to: Point, is_approach: bool, number: int | None) -> Iterator[Move]:
        place = self.inward[:, :2] @ (to - self.offset)
        ways = np.zeros(2) if number is None else self.driven.early[self.bounds[number]]
        pairs = list(zip(self.plays, place.tolist(), ways.tolist(), strict=True))
        self.ways = np.array([way or play.way_to(at) for play, at, way in pairs])
        needed = [
            is_approach and not play.comes_to(at, way)
            for (play, at, _), way in zip(pairs, self.ways.tolist(), strict=True)
        ]
        if any(needed):
            past = self._room(place, np.where(needed, _PAST + self.halves / 2, 0.0))
            yield self._gone(place - self.ways * np.where(needed, past + self.halves, -self.halves))
        yield self._gone(place + self.ways * self.halves)

    def _room(self, place: Point, past: Floats) -> Floats:
        """Give how far past ``place`` the tool may go, at most ``past`` (2,) mm, on the bed."""
        there = self.outward @ (place - self.ways * past) + self.offset
        kept = np.clip(there, self.reach[0], self.reach[1]) - self.offset
        room = (place - self.inward[:, :2] @ kept) * self.ways
        return np.clip(room, 0.0, past)

    def _gone(self, told: Point) -> Travel:
        for play, at in zip(self.plays, told.tolist(), strict=True):
            play.go(at)
        return Travel(told)

    def _follow(self, move: Follow, number: int) -> Follow:
        a, b = self.bounds[number : number + 2]
        legs = self.driven.legs
        early, late = self.driven.early[a:b], self.driven.late[b - 1]
        joints = np.empty((b - a + 1, 2))
        joints[:-1] = legs.starts[a:b] + self.halves * np.where(early == 0, self.ways, early)
        joints[-1] = legs.ends[b - 1] + self.halves * np.where(late == 0, self.ways, late)
        for play, at in zip(self.plays, legs.ends[b - 1].tolist(), strict=True):
            play.stand(at)
        chain = Chain(
            locked(joints), locked(legs.bulges[a:b]), np.full((b - a, 2, 2), np.nan), closed=False
        )
        headings = None if move.headings is None else legs.headings[a:b]
        return replace(move, chain=chain, headings=headings)
