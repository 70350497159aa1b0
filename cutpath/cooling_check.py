"""Whether hot cuts near one another are far enough apart in time, by the moves themselves.

Part of the pipeline: it times what ``machine`` made, apart from the order that planned the waits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, line
from cutpath.geometry.near_lines import near_pairs
from cutpath.geometry.points import Point
from cutpath.geometry.transform import transformed, translation
from cutpath.kinematics import Kinematics
from cutpath.moves import AdvanceCloth, Dwell, Follow, Lift, Lower, Move, SelectTool, Travel
from cutpath.replay.checks import Check
from cutpath.settings.profile import Profile

_NAME = "near cuts cool"
_ROUNDING = 1e-6
_LATE = 0.05
"""Seconds that the machine's clock may differ from the plan's: a tool lifts on its way."""


def check_cooling(moves: Sequence[Move], profile: Profile) -> Check | None:
    """Check that cuts within a tool's ``heat_distance`` are its ``cool_time`` apart.

    None for a machine without such a tool. Parts of one stroke, between which the tool only turns
    or lifts without leaving for another place, count as one cut.
    """
    hot = {name: tool for name, tool in profile.tools.items() if tool.cool_time > 0}
    if not hot:
        return None
    cuts = _Timer(profile).cuts(moves)
    least = None
    for name, tool in hot.items():
        mine = [cut for cut in cuts if cut.tool == name]
        parts = [(number, chain) for number, cut in enumerate(mine) for chain in cut.chains]
        near = near_pairs([chain for _, chain in parts], tool.heat_distance)
        for i, j in sorted({(parts[a][0], parts[b][0]) for a, b in near}):
            if i == j:
                continue
            gap = mine[j].begun - mine[i].done
            if least is None or tool.cool_time - gap > least[0]:
                least = (tool.cool_time - gap, gap, tool.cool_time)
    if least is None:
        return Check(_NAME, True, "none lie near one another")
    words = f"{least[1]:.1f} s apart at the least, {least[2]:.1f} s asked for"
    return Check(_NAME, least[0] <= _LATE, words)


@dataclass(slots=True)
class _Cut:
    tool: str
    chains: list[Chain]
    begun: float
    done: float


class _Timer:
    """Goes through moves with a clock."""

    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.rates = Kinematics()
        self.tool = ""
        self.now = 0.0
        self.at: Point = np.zeros(2)
        self.cloth: Point = np.zeros(2)
        """How far the cloth has moved on: cuts are kept where they lie on it."""
        self.left: Point | None = None
        self.found: list[_Cut] = []

    def cuts(self, moves: Sequence[Move]) -> list[_Cut]:
        """Give every cut with its time, in order."""
        for move in moves:
            self._add(move)
        return self.found

    def _add(self, move: Move) -> None:
        match move:
            case SelectTool(tool):
                self.tool, self.left = tool, None
                self.rates = self.profile.kinematics(tool)
                self.now += self.rates.tool_change_time
            case Travel(to):
                self.now += float(self.rates.travel_time(float(np.hypot(*(to - self.at)))))
                self.at = to
            case Lower():
                self._begin()
            case Follow(chain):
                self.now += self.rates.stroke_time(chain)
                self.at = chain.last
                self.found[-1].chains.append(transformed(chain, translation(*self.cloth)))
            case AdvanceCloth(distance):
                self.now += self.profile.advance_time(distance)
                self.cloth = self.cloth + distance * self.profile.run_in_machine()
                self.left = None
            case Dwell(seconds):
                self.now += seconds
                self.left = None
            case Lift():
                self.now += self.rates.lift_time
                self.left, self.found[-1].done = self.at, self.now
            case _:
                pass

    def _begin(self) -> None:
        tool = self.profile.tools[self.tool]
        within = 2 * tool.overlap + _ROUNDING
        goes_on = self.left is not None and float(np.hypot(*(self.at - self.left))) <= within
        if not goes_on:
            at = self.at + self.cloth
            self.found.append(_Cut(self.tool, [line(at, at)], self.now, self.now))
        self.now += self.rates.lower_time - tool.dwell
