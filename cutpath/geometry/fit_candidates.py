"""Arcs and biarcs tried over runs of joints, many at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.biarc import arc_gap, biarc
from cutpath.geometry.fit_spans import Spans
from cutpath.geometry.points import Bools, Floats, Ints, Points, turn_between, unit

_SURE = 0.9
"""Of the tolerance: the samples' own share is the rest."""
_NEARLY = 0.005
"""Radians that a single arc may miss the tangent at its end; the next piece begins with it."""
_MOST_BULGE = np.tan(np.pi / 8)
"""Of one half of a biarc: 90°."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """k pieces tried: ``middle`` (k, 2) where a biarc's arcs meet, ``bulges`` (k, 2).

    A single arc has its bulge first, and NaN. ``leaving`` (k, 2) is the tangent at the end;
    ``good`` tells which keep to the line.
    """

    middle: Points
    bulges: Floats
    leaving: Points
    good: Bools


Maker = Callable[[Spans, Ints, Ints, Points, float], Pieces]
"""Tries pieces from joints to joints (k,), with tangents at the start (k, 2), in a tolerance."""


def single_arcs(spans: Spans, start: Ints, end: Ints, along: Points, tolerance: float) -> Pieces:
    """Try one arc each: it has the tangent at the start, and nearly the one at the end."""
    p0, p1 = spans.points[start], spans.points[end]
    chord = p1 - p0
    half = turn_between(along, chord)
    size = np.hypot(*chord.T)
    ahead = unit(chord)
    cos, sin = np.cos(half), np.sin(half)
    x, y = ahead.T
    leaving = np.stack([cos * x - sin * y, sin * x + cos * y], axis=1)
    bulge = np.tan(np.clip(half, -np.pi / 2, np.pi / 2) / 2)
    bulge = np.where(np.abs(bulge) * size < 1e-9, 0.0, bulge)
    off = np.abs(turn_between(leaving, spans.tangents[end]))
    # A tangent that is off makes the next piece stray, and turns where that fits into nothing.
    meets = (off * size <= 2 * tolerance) & (off <= _NEARLY)
    good = (np.abs(half) <= np.pi / 2) & (spans.free[end] | meets)
    good &= size > 0
    good[good] = _straying(spans, start[good], end[good], p0[good], p1[good], bulge[good]) <= (
        _SURE * tolerance
    )
    return Pieces(p1, np.stack([bulge, np.full(len(bulge), np.nan)], axis=1), leaving, good)


def lines(spans: Spans, start: Ints, end: Ints, along: Points, tolerance: float) -> Pieces:
    """Try one line each, over lines only."""
    del along
    p0, p1 = spans.points[start], spans.points[end]
    flat = np.zeros(len(start))
    bends = np.concatenate([[0], np.cumsum(spans.bulges != 0)])
    straight = bends[spans.segment[start]] == bends[spans.segment[end - 1] + 1]
    strays = _straying(spans, start, end, p0, p1, flat)
    good = straight & (strays <= _SURE * tolerance)
    return Pieces(p1, np.stack([flat, flat + np.nan], axis=1), unit(p1 - p0), good)


def biarcs(spans: Spans, start: Ints, end: Ints, along: Points, tolerance: float) -> Pieces:
    """Try a biarc each, with the tangents at both ends."""
    p0, p1 = spans.points[start], spans.points[end]
    leaving = spans.tangents[end]
    middle, bulges = biarc(p0, along, p1, leaving)
    good = np.isfinite(bulges).all(axis=1) & (np.abs(bulges) <= _MOST_BULGE).all(axis=1)
    chosen = np.flatnonzero(good)
    rows, lengths = _rows(spans, start[chosen], end[chosen])
    on = spans.samples[rows]
    who = np.repeat(chosen, lengths)
    across = unit(middle - p0)
    # The tangent at the middle is the start's mirrored in the first chord.
    at_middle = 2 * np.sum(along * across, axis=1)[:, None] * across - along
    is_late = np.sum((on - middle[who]) * at_middle[who], axis=1) >= 0
    begin = np.where(is_late[:, None], middle[who], p0[who])
    finish = np.where(is_late[:, None], p1[who], middle[who])
    gaps = arc_gap(on[:, None], begin, finish, bulges[who, is_late.astype(np.int64)])[:, 0]
    good[chosen] = _most(gaps, lengths) <= _SURE * tolerance
    return Pieces(middle, bulges, leaving, good)


def _straying(
    spans: Spans, start: Ints, end: Ints, p0: Points, p1: Points, bulge: Floats
) -> Floats:
    """Give how far each run is from one arc, (k,)."""
    rows, lengths = _rows(spans, start, end)
    who = np.repeat(np.arange(len(start)), lengths)
    gaps = arc_gap(spans.samples[rows][:, None], p0[who], p1[who], bulge[who])[:, 0]
    return _most(gaps, lengths)


def _rows(spans: Spans, start: Ints, end: Ints) -> tuple[Ints, Ints]:
    """Give the samples of each run, one run after the other, and how many each has."""
    first = spans.sample_first[start]
    lengths = spans.sample_first[end] - first
    begins = np.cumsum(lengths) - lengths
    return np.arange(lengths.sum()) - np.repeat(begins - first, lengths), lengths


def _most(values: Floats, lengths: Ints) -> Floats:
    if not len(lengths):
        return np.zeros(0)
    return np.asarray(np.maximum.reduceat(values, np.cumsum(lengths) - lengths))
