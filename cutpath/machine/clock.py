"""How long a machine takes for its moves: by tool, and by what the time goes into."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import length
from cutpath.geometry.points import Floats, Point, locked
from cutpath.kinematics import Kinematics, run_times
from cutpath.moves import AdvanceCloth, Dwell, Follow, Lift, Lower, Move, SelectTool, Travel, Turn
from cutpath.settings.profile import Profile


@dataclass(frozen=True, slots=True)
class ToolClock:
    """What one tool's time goes into, s, and the ways it makes, mm.

    ``work`` is time along the line, ``lifts`` lowering, lifting and turning in the air, ``waits``
    standing still, ``advances`` moving the cloth. A change of tools counts for the tool that is
    taken.
    """

    work: float = 0.0
    travel: float = 0.0
    lifts: float = 0.0
    waits: float = 0.0
    changes: float = 0.0
    advances: float = 0.0
    work_mm: float = 0.0
    travel_mm: float = 0.0

    @property
    def total(self) -> float:
        """Give all of its time, s."""
        still = self.waits + self.changes + self.advances
        return self.work + self.travel + self.lifts + still


@dataclass(frozen=True, slots=True, eq=False)
class Clocked:
    """How long the moves take: by tool name, in the order of their first work.

    ``moves`` are the seconds of each move, in order, (n,).
    """

    tools: Mapping[str, ToolClock]
    moves: Floats

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
    return clock.read()


class _Clock:
    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.at: Point = np.zeros(2)
        self.heading = 0.0
        self.name = ""
        self.rates = Kinematics()
        self.runs: dict[str, _Runs] = {}
        self.by_tool: dict[str, ToolClock] = {}
        self.spent: list[float] = []
        """Seconds of each move; those of ways are put in at the end."""

    def add(self, move: Move) -> None:
        match move:
            case SelectTool(tool):
                self._select(tool)
            case Travel(to):
                self.runs[self.name].travel(float(np.hypot(*(to - self.at))), len(self.spent))
                self.at = to
                self.spent.append(0.0)
            case Follow(chain):
                self.runs[self.name].follow(move, len(self.spent))
                self.at = chain.last
                self.spent.append(0.0)
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
                self.spent.append(seconds)
            case AdvanceCloth(distance):
                held = self.by_tool[self.name]
                spent = self.profile.advance_time(distance)
                self.by_tool[self.name] = replace(held, advances=held.advances + spent)
                self.spent.append(spent)

    def _select(self, name: str) -> None:
        self.name = name
        self.rates = self.profile.kinematics(name)
        self.runs.setdefault(name, _Runs(self.rates))
        tool = self.by_tool.get(name, ToolClock())
        self.by_tool[name] = replace(tool, changes=tool.changes + self.rates.tool_change_time)
        self.spent.append(self.rates.tool_change_time)

    def _lift(self, seconds: float) -> None:
        tool = self.by_tool[self.name]
        self.by_tool[self.name] = replace(tool, lifts=tool.lifts + seconds)
        self.runs[self.name].stop()
        self.spent.append(seconds)

    def _turn(self, heading: float) -> None:
        turned = math.degrees(abs(heading - self.heading))
        self.heading = heading
        self._lift(turned / self.profile.motion.turn_speed)

    def read(self) -> Clocked:
        """Give each tool's clock with the time of its ways put in, and that of each move."""
        moves = np.array(self.spent, dtype=np.float64)
        tools = {}
        for name, tool in self.by_tool.items():
            runs = self.runs[name]
            work, travel = runs.work_times(), runs.travel_times()
            moves[runs.followed_at], moves[runs.travelled_at] = work, travel
            tools[name] = replace(
                tool,
                work=float(work.sum()),
                travel=float(travel.sum()),
                work_mm=sum(length(chain) for chain in runs.chains),
                travel_mm=sum(runs.travels),
            )
        return Clocked(tools, locked(moves))


class _Runs:
    """One tool's ways, timed all at once."""

    def __init__(self, rates: Kinematics) -> None:
        self.rates = rates
        self.travels: list[float] = []
        self.chains: list[Chain] = []
        self.speeds: list[float] = []
        self.stops: list[bool] = []
        self.travelled_at: list[int] = []
        self.followed_at: list[int] = []
        self.is_stopped = True

    def stop(self) -> None:
        self.is_stopped = True

    def travel(self, distance: float, place: int) -> None:
        """Travel as move number ``place``."""
        self.travels.append(distance)
        self.travelled_at.append(place)

    def follow(self, move: Follow, place: int) -> None:
        """Follow as move number ``place``."""
        self.followed_at.append(place)
        self.chains.append(move.chain)
        self.speeds.append(move.speed or self.rates.cut_speed)
        self.stops.append(self.is_stopped)
        self.is_stopped = False

    def travel_times(self) -> Floats:
        """Give the seconds of each travel, (n,)."""
        return self.rates.travel_time(self.travels)

    def work_times(self) -> Floats:
        """Give the seconds of each way that was followed, (n,)."""
        return run_times(
            self.chains,
            np.array(self.speeds),
            np.array(self.stops, dtype=np.bool_),
            self.rates.acceleration,
            self.rates.corner_deviation,
        )
