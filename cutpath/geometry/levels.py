"""Where a curve crosses straight lines, and the parts of it between two that are parallel."""

from __future__ import annotations

import math

import numpy as np

from cutpath.geometry.chain import Chain, joined, opened
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.points import Floats, Point
from cutpath.geometry.splitting import cut_at

_FLATNESS = 0.05
_HALVINGS = 60


def stations_at(chain: Chain, across: Point, level: float) -> list[float]:
    """Give the stations, mm, at which ``chain`` crosses the line across · p = level.

    Found by halving, to the last digits; a touch without a crossing does not count.
    """
    chain = opened(chain)
    whole = length(chain)
    count = max(4 * len(flatten(chain, _FLATNESS).points), 16)
    stations = np.linspace(0.0, whole, count)
    sides = _height(chain, stations, across) > level
    out = []
    for index in np.flatnonzero(sides[1:] != sides[:-1]).tolist():
        low, high = float(stations[index]), float(stations[index + 1])
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            side = _height(chain, np.array([middle]), across)[0] > level
            low, high = (middle, high) if side == sides[index] else (low, middle)
        out.append((low + high) / 2)
    return out


def _height(chain: Chain, stations: Floats, across: Point) -> Floats:
    return np.asarray(points_at_stations(chain, stations)[0] @ across)


def parts_between(chain: Chain, across: Point, low: float, high: float) -> tuple[Chain, ...]:
    """Give what of ``chain`` lies where low ≤ across · p ≤ high: itself, or open parts in order.

    Either bound may be infinite.
    """
    cuts = [
        station
        for level in (low, high)
        if math.isfinite(level)
        for station in stations_at(chain, across, level)
    ]
    if length(chain) < 1e-9:  # a drill mark
        return (chain,) if low <= float(chain.first @ across) < high else ()
    parts = cut_at(chain, np.array(sorted(cuts))) if cuts else [chain]
    kept = [_is_between(part, across, low, high) for part in parts]
    if not cuts or all(kept):
        return (chain,) if all(kept) else ()
    if chain.closed and kept[0] and kept[-1]:
        # The start of a closed chain is no end of a part.
        parts[0] = joined([parts.pop(), parts[0]])
        kept.pop()
    return tuple(part for part, inside in zip(parts, kept, strict=True) if inside)


def _is_between(part: Chain, across: Point, low: float, high: float) -> bool:
    middle = float(_height(part, np.array([length(part) / 2]), across)[0])
    return low <= middle < high
