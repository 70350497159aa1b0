"""A load's strokes in the order they are made: the least machine time that the rules allow.

Pen first, then drill, then the cuts, or as the profile says; a piece's inner work before its
outline. A piece that lies inside an opening of another is cut wholly before that opening, for cloth
that is cut free moves. Cuts that must cool are kept apart in time, by other work where there is
any, else by a wait with the tool up, away from the cloth.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.near_lines import near_pairs
from cutpath.kinematics import Kinematics
from cutpath.model import Load, Pause, Toolpath
from cutpath.path.jobs import Job, befores_of, jobs_of, levels_of
from cutpath.path.order.cooling import rest_place, waits
from cutpath.path.order.stops import Cooling, Stop, Visit, Work, travel_clock
from cutpath.path.order.touring import best_route
from cutpath.path.rules import Rules, ToolRule

_SHORTEST = 1e-3
"""Waits below this, s, are rounding."""


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """A load's jobs as work to be ordered, job i being stop i.

    ``inner_travel`` s is made inside jobs of several strokes, whatever the order.
    """

    jobs: tuple[Job, ...]
    work: Work
    inner_travel: float


def ordered_toolpaths(load: Load, rules: Rules, rounds: int = 4) -> tuple[Toolpath, ...]:
    """Give every stroke of ``load`` in working order; ``rounds`` is the effort put into it.

    Closed cuts begin in the middle of a side. The same load, rules and effort give the same order.
    """
    planned = planned_work(load, rules)
    visits = best_route(planned.work, rounds)
    return toolpaths_of(planned, visits, rules)


def planned_work(load: Load, rules: Rules) -> Planned:
    """Give what is to be ordered, in seconds."""
    jobs = jobs_of(load)
    tools = [rules.tool(job.role, job.feature) for job in jobs]
    numbers = {name: n for n, name in enumerate(dict.fromkeys(tool.name for tool in tools))}
    befores = befores_of(jobs, load, rules)
    levels = levels_of(jobs, befores, rules)
    inner = _inner_travel(jobs, tools)
    seconds = [a + b for a, b in zip(_seconds(jobs, tools), inner, strict=True)]
    stops = tuple(
        Stop(job.entries, job.exits, numbers[tool.name], level, after, time)
        for job, tool, level, after, time in zip(jobs, tools, levels, befores, seconds, strict=True)
    )
    rates = tools[0].rates if tools else Kinematics()
    work = Work(
        stops,
        rules.start,
        rules.end,
        travel_clock(rates),
        rates.tool_change_time,
        _cooling(jobs, tools),
    )
    return Planned(tuple(jobs), work, sum(inner))


def _seconds(jobs: Sequence[Job], tools: Sequence[ToolRule]) -> list[float]:
    """Give the time of each job with its tool down, lowering and lifting included."""
    out = [0.0] * len(jobs)
    by_tool: dict[str, list[int]] = defaultdict(list)
    for number, tool in enumerate(tools):
        by_tool[tool.name].append(number)
    for numbers in by_tool.values():
        rates = tools[numbers[0]].rates
        strokes = [(n, chain) for n in numbers for chain in _any_strokes(jobs[n])]
        times = rates.stroke_times([chain for _, chain in strokes]).tolist()
        for (number, _), time in zip(strokes, times, strict=True):
            out[number] += time + rates.lower_time + rates.lift_time
    return out


def _inner_travel(jobs: Sequence[Job], tools: Sequence[ToolRule]) -> list[float]:
    """Give the time of the travels inside each job, from one of its strokes to the next."""
    out = [0.0] * len(jobs)
    for number, (job, tool) in enumerate(zip(jobs, tools, strict=True)):
        strokes = _any_strokes(job)
        if len(strokes) > 1:
            legs = [after.first - before.last for before, after in pairwise(strokes)]
            out[number] = float(tool.rates.travel_time(np.hypot(*np.array(legs).T)).sum())
    return out


def _any_strokes(job: Job) -> tuple[Chain, ...]:
    return (job.loop,) if job.loop is not None else job.ways[0]


def _cooling(jobs: Sequence[Job], tools: Sequence[ToolRule]) -> tuple[Cooling, ...]:
    """Give the pairs of one tool's cuts that are near enough to heat each other."""
    out = []
    for tool in {each.name: each for each in tools if each.cool_time > 0}.values():
        numbers = [n for n, each in enumerate(tools) if each.name == tool.name]
        strokes = [(n, chain) for n in numbers for chain in _any_strokes(jobs[n])]
        pairs = near_pairs([chain for _, chain in strokes], tool.heat_distance)
        near = {(strokes[i][0], strokes[j][0]) for i, j in pairs}
        out += [Cooling(a, b, tool.cool_time) for a, b in sorted(near) if a != b]
    return tuple(out)


def toolpaths_of(planned: Planned, visits: Sequence[Visit], rules: Rules) -> tuple[Toolpath, ...]:
    """Give the strokes of ``visits``, with a pause before each that must wait."""
    work, out = planned.work, []
    here = work.start
    for (stop, way), wait in zip(visits, waits(work, visits).tolist(), strict=True):
        job = planned.jobs[stop]
        pause = None
        if wait > _SHORTEST:
            rest = rules.start if rules.rest is None else rules.rest
            pause = Pause(*rest_place(here, job.entries[way], rest, wait, work.measure))
        for chain in job.strokes(way):
            out.append(Toolpath(job.role, job.feature, job.piece, chain, pause))
            pause = None
        here = job.exits[way]
    return tuple(out)
