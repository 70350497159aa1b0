"""The order of steps that handles the least: small assemblies first, large ones seldom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from cutpath.errors import InputError
from cutpath.settings.job import Job
from cutpath.sewing_plan import SewingPlan, Step, StepKind

_MOST_EXACT = 12
"""Orders of this many joins are tried exactly, by dynamic programming over what is joined."""
_RANK = {kind: rank for rank, kind in enumerate(StepKind)}


@dataclass(frozen=True, slots=True)
class _Work:
    """Steps by number: which are joins, and which joins must be done before each step."""

    steps: tuple[Step, ...]
    joins: tuple[int, ...]
    waits: tuple[frozenset[int], ...]
    areas: Mapping[str, float]


def sewing_plan(steps: Sequence[Step], areas: Mapping[str, float], job: Job) -> SewingPlan:
    """Put steps in an order that works, with the least area handled in all.

    ``areas`` are the panels' own, mm². Every step handles all that hangs together with its panels;
    since assemblies only grow, each step but a join is done as soon as it may be, and what remains
    is the order of joins: the best for up to 12, else the least at each step.

    Raises InputError for steps that need each other in a circle.
    """
    work = _Work(tuple(steps), *_joins_and_waits(steps, job), areas)
    is_few = len(work.joins) <= _MOST_EXACT
    order = _best_order(work) if is_few else _greedy_order(work)
    return _laid_out(work, order, is_best=is_few)


def _joins_and_waits(
    steps: Sequence[Step], job: Job
) -> tuple[tuple[int, ...], tuple[frozenset[int], ...]]:
    number = {step.name: index for index, step in enumerate(steps)}
    needs = {index: [number[name] for name in step.needs] for index, step in enumerate(steps)}
    try:
        order = list(TopologicalSorter(needs).static_order())
    except CycleError as error:
        circle = [steps[index].name for index in error.args[1]]
        raise InputError(
            f"these steps of the sewing wait for each other: {' → '.join(circle)}",
            job.place("sewing") if job.said.sewing else job.place(),
            "Take one of the words after = [...] in [[sewing]] away.",
        ) from error
    joins = tuple(index for index, step in enumerate(steps) if step.kind is StepKind.JOIN)
    waits: dict[int, frozenset[int]] = {}
    for index in order:
        found: set[int] = set()
        for need in needs[index]:
            found |= waits[need]
            if need in joins:
                found.add(need)
        waits[index] = frozenset(found)
    return joins, tuple(waits[index] for index in range(len(steps)))


def _assembly(work: _Work, joined: frozenset[int], panels: Sequence[str]) -> float:
    """Give the area of all that hangs together with ``panels``."""
    held = set(panels)
    links = [set(work.steps[index].panels) for index in joined]
    growing = True
    while growing:
        growing = False
        for link in links:
            if link & held and not link <= held:
                held |= link
                growing = True
    return sum(work.areas.get(name, 0.0) for name in held)


def _price(work: _Work, before: frozenset[int], join: int) -> float:
    """Give what is handled by a join, and by all that may be done once it is."""
    after = before | {join}
    ready = [
        step
        for index, step in enumerate(work.steps)
        if index == join
        or (
            (index not in work.joins and work.waits[index] <= after)
            and not work.waits[index] <= before
        )
    ]
    return sum(_assembly(work, after, step.panels) for step in ready)


def _best_order(work: _Work) -> list[int]:
    """Try all orders of joins: the least whole for each set of joins done (Held and Karp's way)."""
    best: dict[frozenset[int], tuple[float, tuple[int, ...]]] = {frozenset(): (0.0, ())}
    for _ in work.joins:
        following: dict[frozenset[int], tuple[float, tuple[int, ...]]] = {}
        for done, (cost, order) in best.items():
            for join in work.joins:
                if join in done or not work.waits[join] <= done:
                    continue
                after = done | {join}
                found = (cost + _price(work, done, join), (*order, join))
                if after not in following or found < following[after]:
                    following[after] = found
        best = following
    return list(next(iter(best.values()))[1])


def _greedy_order(work: _Work) -> list[int]:
    done: frozenset[int] = frozenset()
    order: list[int] = []
    while len(order) < len(work.joins):
        may = [j for j in work.joins if j not in done and work.waits[j] <= done]
        join = min(may, key=lambda j: (_assembly(work, done | {j}, work.steps[j].panels), j))
        order.append(join)
        done |= {join}
    return order


def _laid_out(work: _Work, order: Sequence[int], *, is_best: bool) -> SewingPlan:
    steps: list[Step] = []
    handled: list[float] = []
    left = [index for index in range(len(work.steps)) if index not in work.joins]
    done: frozenset[int] = frozenset()

    def take(index: int) -> None:
        steps.append(work.steps[index])
        handled.append(_assembly(work, done, work.steps[index].panels))

    def take_ready() -> None:
        ready = [index for index in left if work.waits[index] <= done]
        for index in _by_rank(work, ready):
            take(index)
            left.remove(index)

    take_ready()
    for join in order:
        done |= {join}
        take(join)
        take_ready()
    return SewingPlan(tuple(steps), tuple(handled), is_best)


def _by_rank(work: _Work, ready: Sequence[int]) -> list[int]:
    """Order steps that wait for no more joins: by their own needs, then by kind and name."""
    names = {work.steps[index].name: index for index in ready}
    sorter = TopologicalSorter(
        {index: [names[n] for n in work.steps[index].needs if n in names] for index in ready}
    )
    sorter.prepare()
    out: list[int] = []
    waiting: list[int] = []
    while sorter.is_active():
        waiting += sorter.get_ready()
        waiting.sort(key=lambda index: (_RANK[work.steps[index].kind], index))
        index = waiting.pop(0)
        out.append(index)
        sorter.done(index)
    return out
