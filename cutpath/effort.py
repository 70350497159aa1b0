"""How much of the machine's time the order of strokes costs, beside what no order can beat.

Part of the pipeline: it joins ``path`` and ``machine``, which do not know each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutpath.geometry.points import Point
from cutpath.machine.clock import Clocked
from cutpath.model import Load, Toolpath
from cutpath.path.order.bounds import least_travel
from cutpath.path.order.stops import Visit
from cutpath.path.order.touring import best_route, whole_cost
from cutpath.path.ordering import Planned, planned_work, toolpaths_of
from cutpath.path.rules import Rules, rules_of
from cutpath.settings.profile import Profile

_ROUNDS = ((4, 4), (12, 1))
"""Up to how many loads get how many rounds each, where nobody says so; beyond that none."""


@dataclass(frozen=True, slots=True, eq=False)
class Ordered:
    """A load's strokes in working order; ``least_travel`` s is what no order can beat, if known."""

    toolpaths: tuple[Toolpath, ...]
    least_travel: float | None

    def with_toolpaths(self, toolpaths: tuple[Toolpath, ...]) -> Ordered:
        """Give the same with other strokes, for which the bound does not hold."""
        return replace(self, toolpaths=toolpaths, least_travel=None)


def rounds_for(loads: Sequence[Load], wanted: int | None = None) -> int:
    """Give the rounds that the order of strokes is worth: less where there are many loads."""
    if wanted is not None:
        return wanted
    return next((rounds for most, rounds in _ROUNDS if len(loads) <= most), 0)


def order_load(load: Load, profile: Profile, rounds: int, start: Point | None = None) -> Ordered:
    """Order the strokes of ``load`` for the profile's machine.

    The head stands at ``start`` on the bed, where that is not the profile's own place. Raises
    MachineError where it has no tool for some work.
    """
    rules = rules_of(profile)
    if start is not None:
        rules = replace(rules, start=start)
    planned = planned_work(load, rules)
    visits = _visits(load, planned, rules, rounds)
    toolpaths = toolpaths_of(planned, visits, rules)
    least = least_travel(planned.work, _slack(profile))
    return Ordered(toolpaths, None if least is None else least + planned.inner_travel)


def _visits(load: Load, planned: Planned, rules: Rules, rounds: int) -> list[Visit]:
    """Give the better of two searches where marks need not come before all cuts.

    A looser rule leaves more orders and a harder search; what keeps the strict one keeps it too.
    """
    visits = best_route(planned.work, rounds)
    if rules.marks_before == "all cuts":
        return visits
    strict = planned_work(load, replace(rules, marks_before="all cuts"))
    return min(
        visits, best_route(strict.work, rounds), key=lambda way: whole_cost(planned.work, way)
    )


def _slack(profile: Profile) -> float:
    """Give how much nearer than two lines' ends a tool may begin and end, mm."""
    return max(
        tool.overcut + tool.lead_in + tool.overlap + 2 * tool.blade_offset + tool.kerf
        for tool in profile.tools.values()
    )


def effort_facts(ordered: Ordered, clock: Clocked, profile: Profile) -> dict[str, float | None]:
    """Give times in s and ways in mm, and beside each that the order decides its lower bound.

    Bounds: travel by the least spanning tree, each tool picked once, no waits but those after
    lowering. None where no bound is known.
    """
    tools = list(clock.tools.values())
    work, lifts = sum(t.work for t in tools), sum(t.lifts for t in tools)
    travel, changes = sum(t.travel for t in tools), sum(t.changes for t in tools)
    waits = sum(t.waits for t in tools)
    pauses = sum(path.pause.seconds for path in ordered.toolpaths if path.pause)
    least_changes = len(tools) * profile.motion.tool_change_time
    least = ordered.least_travel
    advances = sum(t.advances for t in tools)
    fixed = work + lifts + least_changes + waits - pauses + advances
    return {
        "tool_down_s": round(work, 1),
        "tool_down_mm": round(sum(t.work_mm for t in tools), 0),
        "lifts_s": round(lifts, 1),
        "travel_s": round(travel, 1),
        "travel_least_s": None if least is None else round(least, 1),
        "travel_mm": round(sum(t.travel_mm for t in tools), 0),
        "changes_s": round(changes, 1),
        "changes_least_s": round(least_changes, 1),
        "waits_s": round(waits, 1),
        "waits_least_s": round(waits - pauses, 1),
        "advances_s": round(advances, 1),
        "total_s": round(clock.total, 1),
        "total_least_s": None if least is None else round(fixed + least, 1),
    }
