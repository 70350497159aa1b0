"""How long a machine takes for its moves: by tool, and by what the time goes into."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import length
from cutpath.geometry.points import Point
from cutpath.kinematics import Kinematics, run_times
from cutpath.moves import Dwell, Follow, Lift, Lower, Move, SelectTool, Travel, Turn
from cutpath.settings.profile import Profile


@dataclass(frozen=True, slots=True)
class ToolClock:
    """What one tool's time goes into, s, and the ways it makes, mm.

    ``work`` is time along the line, ``lifts`` lowering, lifting and turning in the air, ``waits``
    standing still. A change of tools counts for the tool that is taken.
    """

    work: float = 0.0
    travel: float = 0.0
    lifts: float = 0.0
    waits: float = 0.0
    changes: float = 0.0
    work_mm: float = 0.0
    travel_mm: float = 0.0

    @property
    def total(self) -> float:
        """Give all of its time, s."""
        return self.work + self.travel + self.lifts + self.waits + self.changes


@dataclass(frozen=True, slots=True)
class Clocked:
    """How long the moves take: by tool name, in the order of their first work."""

    tools: Mapping[str, ToolClock]

    @property
    def total(self) -> float:
        """Give the time of the whole file, s."""
        return sum(tool.total for tool in self.tools.values())

    def as_dict(self) -> dict[str, float]:
        """Give seconds by tool, rounded, the same on every run."""
        return {name: round(tool.total, 1) for name, tool in self.tools.items()}


def machine_time(moves: Sequence[Move], profile: Profile) -> Clocked:
    """Estimate how long the profile's machine takes for ``moves``, from its own origin on.

    Speeds rise and fall at one acceleration, corners are passed by their deviation, and the machine
    looks ahead over each stroke. Every lift is a stop. A blade that is turned standing still takes
    its time; turning on the way does not slow it.
    """
    clock = _Clock(profile)
    for move in moves:
        clock.add(move)
    return Clocked(clock.read())


class _Clock:
    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.at: Point = np.zeros(2)
        self.heading = 0.0
        self.name = ""
        self.rates = Kinematics()
        self.runs: dict[str, _Runs] = {}
        self.by_tool: dict[str, ToolClock] = {}

    def add(self, move: Move) -> None:
        match move:
            case SelectTool(tool):
                self._select(tool)
            case Travel(to):
                self.runs[self.name].travels.append(float(np.hypot(*(to - self.at))))
                self.at = to
            case Follow(chain):
                self.runs[self.name].follow(move)
                self.at = chain.last
            case Lower():
                # The wait after lowering is a move of its own.
                self._lift(self.rates.lower_time - self.profile.tools[self.name].dwell)
            case Lift():
                self._lift(self.rates.lift_time)
            case Turn(heading):
                self._turn(heading)
            case Dwell(seconds):
                held = self.by_tool[self.name]
                self.by_tool[self.name] = replace(held, waits=held.waits + seconds)

    def _select(self, name: str) -> None:
        self.name = name
        self.rates = self.profile.kinematics(name)
        self.runs.setdefault(name, _Runs(self.rates))
        tool = self.by_tool.get(name, ToolClock())
        self.by_tool[name] = replace(tool, changes=tool.changes + self.rates.tool_change_time)

    def _lift(self, seconds: float) -> None:
        tool = self.by_tool[self.name]
        self.by_tool[self.name] = replace(tool, lifts=tool.lifts + seconds)
        self.runs[self.name].stop()

    def _turn(self, heading: float) -> None:
        turned = math.degrees(abs(heading - self.heading))
        self.heading = heading
        self._lift(turned / self.profile.motion.turn_speed)

    def read(self) -> dict[str, ToolClock]:
        """Give each tool's clock with the time of its ways put in."""
        return {name: self.runs[name].counted(tool) for name, tool in self.by_tool.items()}


class _Runs:
    """One tool's ways, timed all at once."""

    def __init__(self, rates: Kinematics) -> None:
        self.rates = rates
        self.travels: list[float] = []
        self.chains: list[Chain] = []
        self.speeds: list[float] = []
        self.stops: list[bool] = []
        self.is_stopped = True

    def stop(self) -> None:
        self.is_stopped = True

    def follow(self, move: Follow) -> None:
        self.chains.append(move.chain)
        self.speeds.append(move.speed or self.rates.cut_speed)
        self.stops.append(self.is_stopped)
        self.is_stopped = False

    def counted(self, tool: ToolClock) -> ToolClock:
        """Give ``tool`` with the time and the length of these ways."""
        rates = self.rates
        work = run_times(
            self.chains,
            np.array(self.speeds),
            np.array(self.stops, dtype=np.bool_),
            rates.acceleration,
            rates.corner_deviation,
        )
        return replace(
            tool,
            work=float(work.sum()),
            travel=float(rates.travel_time(self.travels).sum()),
            work_mm=sum(length(chain) for chain in self.chains),
            travel_mm=sum(self.travels),
        )
