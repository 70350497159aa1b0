"""How long a machine takes to move: trapezoids of speed, corners, and looking ahead.

Rates are mm, s, mm/s and mm/s². A move speeds up and slows down at one acceleration a: a distance D
from rest to rest takes D/v + v/a when D ≥ v²/a, else 2 √(D/a); speeds along it keep to
v₁² = v₀² + 2 a D (uniform acceleration). A corner is passed at v = √(a R), R being the radius of
the circle tangent to both sides that misses the corner by the deviation δ: with the turn φ,
R = δ cos(φ/2) / (1 − cos(φ/2)) (junction deviation; S. Jeon, 2011; the circle is plane geometry).
On an arc of radius R the pull sidewise keeps to a, so v ≤ √(a R).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Bools, Floats

_SMOOTH = 1e-7
"""Turns below this, radians, don't slow anything."""


@dataclass(frozen=True, slots=True)
class Kinematics:
    """How one tool of one machine moves.

    ``travel_speed`` (tool up) and ``cut_speed`` (down) in mm/s, ``acceleration`` in mm/s²,
    ``corner_deviation`` in mm (0: it stops at every corner), times in s. ``lower_time`` holds the
    wait after lowering too.
    """

    travel_speed: float = 400.0
    cut_speed: float = 200.0
    acceleration: float = 2_000.0
    corner_deviation: float = 0.05
    lift_time: float = 0.1
    lower_time: float = 0.1
    tool_change_time: float = 5.0

    def travel_time(self, distances: ArrayLike) -> Floats:
        """Give the time of straight travels from rest to rest, s, in the shape of ``distances``."""
        return rest_to_rest(distances, self.travel_speed, self.acceleration)

    def stroke_time(self, chain: Chain) -> float:
        """Give the time to follow ``chain`` (lines and arcs) with the tool down, from rest to rest.

        Lowering and lifting are not in it. Raises ValueError for cubics.
        """
        return float(self.stroke_times([chain])[0])

    def stroke_times(self, chains: Sequence[Chain]) -> Floats:
        """Give ``stroke_time`` of every chain at once, (n,)."""
        speeds = np.full(len(chains), self.cut_speed)
        stops = np.ones(len(chains), dtype=np.bool_)
        return run_times(chains, speeds, stops, self.acceleration, self.corner_deviation)


def rest_to_rest(distances: ArrayLike, speed: float, acceleration: float) -> Floats:
    """Give the time of straight moves from rest to rest, s: a trapezoid, or a triangle if short.

    ``distances`` mm ≥ 0 in any shape, ``speed`` mm/s, ``acceleration`` mm/s².
    """
    way = np.asarray(distances, dtype=np.float64)
    short = way < speed**2 / acceleration
    return np.where(short, 2 * np.sqrt(way / acceleration), way / speed + speed / acceleration)


def corner_speeds(turns: ArrayLike, acceleration: float, deviation: float) -> Floats:
    """Give the speed, mm/s, at which corners of ``turns`` radians are passed; inf where smooth."""
    half = np.abs(np.asarray(turns, dtype=np.float64)) / 2
    # 1 − cos(φ/2) = 2 sin²(φ/4): this form keeps its digits for small turns.
    gap = 2 * np.sin(np.maximum(half, _SMOOTH / 2) / 2) ** 2
    radius = deviation * np.maximum(np.cos(half), 0.0) / gap
    return np.where(2 * half < _SMOOTH, np.inf, np.sqrt(acceleration * radius))


def arc_speed(radius: ArrayLike, acceleration: float) -> Floats:
    """Give the speed, mm/s, at which arcs of ``radius`` mm pull no more than ``acceleration``."""
    return np.sqrt(acceleration * np.asarray(radius, dtype=np.float64))


def run_times(
    chains: Sequence[Chain], speeds: Floats, stops: Bools, acceleration: float, deviation: float
) -> Floats:
    """Give the time to follow each of ``chains`` (lines and arcs), one after the other, (n,) s.

    ``speeds`` mm/s, (n,); ``stops`` tells which begin at rest: the others are run into from the one
    before. The last ends at rest. Raises ValueError for cubics.
    """
    if not chains:
        return np.zeros(0)
    counts = np.array([len(chain) for chain in chains])
    firsts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    starts = np.concatenate([chain.starts for chain in chains])
    ends = np.concatenate([chain.ends for chain in chains])
    bulges = np.concatenate([chain.bulges for chain in chains])
    if any(chain.is_cubic.any() for chain in chains):
        raise ValueError("a stroke is made of lines and arcs")
    x, y = (ends - starts).T
    chord, course = np.hypot(x, y), np.arctan2(y, x)
    half = 2 * np.arctan(bulges)  # half the sweep: a chord's arc leaves and arrives so far off it
    bent = bulges != 0
    lengths, tops = chord.copy(), np.repeat(speeds, counts).astype(np.float64)
    lengths[bent] *= half[bent] / np.sin(half[bent])
    radius = chord[bent] / (2 * np.abs(np.sin(half[bent])))
    tops[bent] = np.minimum(tops[bent], arc_speed(radius, acceleration))
    turns = np.append(0.0, (course - half)[1:] - (course + half)[:-1])
    turns -= 2 * np.pi * np.rint(turns / (2 * np.pi))
    entries = corner_speeds(turns, acceleration, deviation)
    entries[firsts[stops]] = 0.0
    entries[0] = 0.0
    spent = leg_times(lengths, tops, entries, acceleration)
    return np.asarray(np.add.reduceat(spent, firsts))


def leg_times(lengths: Floats, tops: Floats, entries: Floats, acceleration: float) -> Floats:
    """Give the time of each leg of a run, (n,) s, with look-ahead over all of it.

    ``lengths`` mm; ``tops`` the highest speed on each leg and ``entries`` at its start, mm/s (0: it
    starts at rest). The run ends at rest.
    """
    gains = 2 * acceleration * lengths
    limits = np.minimum(entries, np.minimum(tops, np.concatenate([[0.0], tops[:-1]]))) ** 2
    squares = _reachable(np.append(limits, 0.0), gains)
    first, last = squares[:-1], squares[1:]
    peak = np.minimum(tops**2, (first + last + gains) / 2)
    peak = np.maximum(peak, np.maximum(first, last))  # rounding
    high, low0, low1 = np.sqrt(peak), np.sqrt(first), np.sqrt(last)
    steady = np.maximum(lengths - (2 * peak - first - last) / (2 * acceleration), 0.0)
    cruise = np.divide(steady, high, out=np.zeros_like(steady), where=high > 0)
    return np.asarray((2 * high - low0 - low1) / acceleration + cruise)


def _reachable(limits: Floats, gains: Floats) -> Floats:
    """Lower squares of speeds at n + 1 joints until ``gains`` of the n legs allow each step.

    w[i + 1] ≤ w[i] + g[i] going forward, and the same going back: each is the least of all limits
    before it plus the gains since, which is one running minimum.
    """
    rise = np.concatenate([[0.0], np.cumsum(gains)])
    forward = rise + np.minimum.accumulate(limits - rise)
    back = np.minimum.accumulate((forward + rise)[::-1])[::-1] - rise
    # Where a limit is 0 the sums may leave a rest of their rounding.
    return np.where(limits == 0, 0.0, np.clip(back, 0.0, limits))
