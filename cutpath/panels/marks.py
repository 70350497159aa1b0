"""Reference marks on a panel's outline, from points, small circles and ticks; and drill marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import end_tangents, length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats, Point, as_points
from cutpath.model import Curve, Sort
from cutpath.panels.gathering import MARK_REACH, TOUCH, Belongings, Dot

_SAME_MARK = 0.5
"""Marks this close along the outline, mm, are one: a tick with a point on it."""
_SAMPLES = 33
_ROUNDS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A mark on the outline: mm along it from its start, and where that is."""

    station: float
    xy: Point
    source: Source


def marks_and_drills(loop: Chain, belongings: Belongings) -> tuple[list[Found], list[Dot]]:
    """Sort a panel's dots and ticks into marks on the outline, in order along it, and drill marks.

    A dot on a drill layer is always a drill mark; any other is a seam mark when it lies on the
    outline (within 3 mm, or within its own radius).
    """
    found = _ticked(loop, belongings.ticks)
    drills = [dot for dot in belongings.dots if dot.thing.sort is Sort.DRILL]
    others = [dot for dot in belongings.dots if dot.thing.sort is not Sort.DRILL]
    if others:
        on_line = nearest(loop, as_points([dot.xy for dot in others]))
        for index, dot in enumerate(others):
            if on_line.distance[index] <= max(MARK_REACH, dot.reach):
                at = float(on_line.station[index])
                found.append(Found(at, on_line.point[index], dot.thing.source))
            else:
                drills.append(dot)
    return _once(found, length(loop)), drills


def _once(found: list[Found], whole: float) -> list[Found]:
    out: list[Found] = []
    for mark in sorted(found, key=lambda mark: mark.station):
        if not out or mark.station - out[-1].station > _SAME_MARK:
            out.append(mark)
    if len(out) > 1 and out[0].station + whole - out[-1].station <= _SAME_MARK:
        out.pop()
    return out


def _ticked(loop: Chain, ticks: Sequence[Curve]) -> list[Found]:
    if not ticks:
        return []
    low = np.zeros(len(ticks))
    high = np.array([length(tick.chain) for tick in ticks])
    whole = high.copy()
    share = np.linspace(0.0, 1.0, _SAMPLES)
    stations, gaps = low, high
    for _ in range(_ROUNDS):  # ever closer round the place nearest to the outline
        along = low[:, None] + (high - low)[:, None] * share
        on_line, gap = _looked_up(loop, ticks, along)
        best = gap.argmin(axis=1)
        rows = np.arange(len(ticks))
        stations, gaps = on_line[rows, best], gap[rows, best]
        step = (high - low) / (_SAMPLES - 1)
        middle = along[rows, best]
        low, high = np.maximum(middle - step, 0.0), np.minimum(middle + step, whole)
    ends, end_gaps = _looked_up(loop, ticks, np.stack([np.zeros_like(whole), whole], axis=1))
    out = []
    for index, tick in enumerate(ticks):
        station = float(stations[index])
        if (end_gaps[index] <= TOUCH).all() and _is_bent(tick.chain):
            station = _between(ends[index], length(loop))
        elif gaps[index] > TOUCH:
            continue
        at, _ = points_at_stations(loop, np.array([station]))
        out.append(Found(station, at[0], tick.source))
    return out


def _looked_up(loop: Chain, ticks: Sequence[Curve], along: Floats) -> tuple[Floats, Floats]:
    """Give stations on the outline and distances from it of (t, k) places along the ticks."""
    places = [
        points_at_stations(tick.chain, row)[0] for tick, row in zip(ticks, along, strict=True)
    ]
    on_line = nearest(loop, np.concatenate(places))
    return on_line.station.reshape(along.shape), on_line.distance.reshape(along.shape)


def _is_bent(tick: Chain) -> bool:
    """Tell a drawn vee from a straight tick."""
    first, last = end_tangents(tick)
    return tick.closed or bool(first @ last < 0.9)


def _between(ends: Floats, whole: float) -> float:
    """Give the middle of two stations on a closed outline, the short way round."""
    gap = (ends[1] - ends[0] + whole / 2) % whole - whole / 2
    return float((ends[0] + gap / 2) % whole)
