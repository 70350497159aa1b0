"""The very best route for a handful of stops, by dynamic programming over sets of stops.

After M. Held and R. M. Karp, "A dynamic programming approach to sequencing problems", 1962. Where
stops must cool, what counts is not only when the last one is done but when each that is left may
begin: every state that is beaten in none of these is kept.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from cutpath.path.order.cooling import cools_of
from cutpath.path.order.costs import Table, options_of
from cutpath.path.order.stops import Visit, Work

MOST = 8
_MOST_OPTIONS = 64


@dataclass(frozen=True, slots=True)
class _State:
    """When the last stop is done, when others may begin at the earliest, and what came before."""

    time: float
    option: int
    ready: tuple[float, ...]
    before: _State | None


def is_small(work: Work) -> bool:
    """Tell whether ``exact_route`` is quick for this work."""
    options = sum(len(stop.entries) for stop in work.stops)
    return len(work.stops) <= MOST and options <= _MOST_OPTIONS


def exact_route(work: Work) -> list[Visit]:
    """Give the visits that cost least, waits included; for a few stops only (see ``is_small``)."""
    return _Search(work).best()


class _Search:
    def __init__(self, work: Work) -> None:
        self.work = work
        options = options_of(work, [np.arange(len(stop.entries)) for stop in work.stops])
        table = Table(work, options)
        self.rows = table.rows
        self.options = options.by_stop
        self.cools = cools_of(work)
        stops = work.stops
        self.needs = [
            sum(
                1 << other
                for other in range(len(stops))
                if stops[other].level < stop.level or other in stop.after
            )
            for stop in stops
        ]

    def best(self) -> list[Visit]:
        """Go through all sets of stops, the smaller ones first."""
        count = len(self.work.stops)
        begun = _State(0.0, self.options[count][0], (-math.inf,) * count, None)
        found: dict[int, dict[int, list[_State]]] = defaultdict(lambda: defaultdict(list))
        found[0][begun.option].append(begun)
        whole = (1 << count) - 1
        for done in range(whole):
            for states in found.pop(done, {}).values():
                for state in states:
                    self._extend(state, done, found)
        end = self.options[-1][0]
        last = min(
            (state for states in found[whole].values() for state in states),
            key=lambda state: state.time + self.rows[state.option][end],
        )
        return self._visits(last)

    def _extend(self, state: _State, done: int, found: dict[int, dict[int, list[_State]]]) -> None:
        row = self.rows[state.option]
        for stop, needs in enumerate(self.needs):
            if done >> stop & 1 or needs & ~done:
                continue
            after = done | 1 << stop
            seconds = self.work.stops[stop].seconds
            for option in self.options[stop]:
                time = max(state.time + row[option], state.ready[stop]) + seconds
                ready = self._ready(state.ready, stop, time, after)
                _keep(found[after][option], _State(time, option, ready, state))

    def _ready(
        self, ready: tuple[float, ...], stop: int, time: float, done: int
    ) -> tuple[float, ...]:
        if not self.cools:
            return ready
        out = list(ready)
        out[stop] = -math.inf
        for other, seconds in self.cools.get(stop, ()):
            if not done >> other & 1:
                out[other] = max(out[other], time + seconds)
        return tuple(out)

    def _visits(self, last: _State) -> list[Visit]:
        owner = {o: stop for stop, mine in enumerate(self.options) for o in mine}
        visits: list[Visit] = []
        state: _State | None = last
        while state is not None and state.before is not None:
            stop = owner[state.option]
            visits.append((stop, state.option - self.options[stop][0]))
            state = state.before
        return visits[::-1]


def _keep(states: list[_State], new: _State) -> None:
    """Add ``new`` unless another is as good in everything; drop those that it beats."""
    if any(_is_as_good(state, new) for state in states):
        return
    states[:] = [state for state in states if not _is_as_good(new, state)]
    states.append(new)


def _is_as_good(one: _State, other: _State) -> bool:
    return one.time <= other.time and all(
        a <= b for a, b in zip(one.ready, other.ready, strict=True)
    )
