"""Where a piece that is too wide for its cloth would best be split."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Ints, Point, direction, left_of
from cutpath.model import Piece

_CLEAR = 30.0
"""Between a new seam and windows, openings, notches and drill marks, mm."""
_LEAST = 150.0
"""A part narrower than this is not worth a seam, mm."""
_STEP = 1.0
_EDGE = 30.0
"""How far from a seam the outline must not turn back, mm."""


def best_splits(piece: Piece, usable: float, allowance: float) -> tuple[float, ...]:
    """Give distances across the warp, from the net line's near edge, that make parts fit.

    Each part is as wide as its cloth takes, ``usable`` mm with its allowances, as far as the seam
    keeps clear of windows and marks: full widths waste least. Empty when nothing clear was found.
    """
    across = left_of(direction(piece.grain or 0.0))
    low, high = _span([piece.cut], across)
    base = _span([piece.net], across)[0]
    blocked = _blocked(piece, across)
    ring = flatten(piece.net, 0.1).points @ across
    out: list[float] = []
    start = low
    while high - start > usable:
        first = start + _LEAST
        last = min(start + usable - allowance, high - _LEAST)
        clear = (y for y in _downwards(last, first) if not _meets(y, blocked))
        at = next(
            (float(y) for y in clear if np.all(_crossings(ring, y - _EDGE, y + _EDGE) == 2)), None
        )
        if at is None:
            return ()
        out.append(round(at - base, 1))
        start = at - allowance
    return tuple(out)


def _crossings(ring: Floats, *heights: float) -> Ints:
    """Give how often the closed outline, as heights of its points, crosses each height."""
    above = ring > np.array(heights)[:, None]
    return np.asarray((above != np.roll(above, 1, axis=1)).sum(axis=1))


def _downwards(last: float, first: float) -> Floats:
    """Give whole millimetres from ``last`` down to ``first``."""
    return np.arange(math.floor(last), math.ceil(first) - 1, -_STEP)


def _span(chains: Sequence[Chain], across: Point) -> tuple[float, float]:
    heights = np.concatenate([flatten(chain, 0.1).points @ across for chain in chains])
    return float(heights.min()), float(heights.max())


def _blocked(piece: Piece, across: Point) -> list[tuple[float, float]]:
    """Give the bands that a seam must not lie in."""
    loops = [*piece.inner_cuts, *(line for line in piece.pen if line.closed)]
    spans = [_span([chain], across) for chain in (*loops, *piece.notches)]
    spans += [(float(xy @ across), float(xy @ across)) for xy in piece.drills]
    return [(low - _CLEAR, high + _CLEAR) for low, high in spans]


def _meets(y: float, blocked: Sequence[tuple[float, float]]) -> bool:
    return any(low < y < high for low, high in blocked)
