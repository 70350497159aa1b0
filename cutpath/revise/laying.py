"""One panel laid on another, turned over: which edge lies on which, and how far they part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.alignment import best_motion, gaps_after
from cutpath.geometry.chain import Chain, reversed_chain
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats, Points
from cutpath.geometry.transform import Matrix, transformed
from cutpath.model import Mark, Panel

_SAMPLES = 33
_SAME = 1.05
"""Fits this close to the best one are told apart by the edges' names."""


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """How the second panel, turned over, lies on the first.

    ``motion`` takes the second's coordinates to the first's; ``partner[i]`` is the number of the
    second's edge that lies on the first's edge i; ``spread`` the root of the mean square distance
    between like places, mm.
    """

    motion: Matrix
    partner: tuple[int, ...]
    spread: float


def edge_samples(panel: Panel) -> Points:
    """Give evenly spaced places on each edge, (edges, 33, 2)."""
    share = np.linspace(0.0, 1.0, _SAMPLES)
    return np.stack(
        [points_at_stations(edge.chain, share * length(edge.chain))[0] for edge in panel.edges]
    )


def laid_over(first: Panel, second: Panel) -> Laid:
    """Find the best way to lay ``second``, turned over, on ``first``; as many edges are needed.

    Every way to match the edges in order is tried with its best motion; among equals the one that
    lays more edges of the same name on each other is taken.
    """
    here, there = edge_samples(first), edge_samples(second)
    names = [edge.name for edge in first.edges], [edge.name for edge in second.edges]
    ways = [_laid(here, there, way) for way in _turned_matches(len(here))]
    limit = min(laid.spread for laid in ways) * _SAME + 1e-6

    def rank(laid: Laid) -> tuple[bool, int, float]:
        alike = sum(names[0][i] == names[1][j] for i, j in enumerate(laid.partner))
        return (laid.spread > limit, -alike, laid.spread)

    return min(ways, key=rank)


def _turned_matches(count: int) -> list[tuple[int, ...]]:
    # Turned over, the second's edges come in the opposite order.
    return [tuple((shift - i) % count for i in range(count)) for shift in range(count)]


def _laid(here: Points, there: Points, partner: tuple[int, ...]) -> Laid:
    other = there[list(partner), ::-1]
    motion = best_motion(_flat(other), _flat(here), mirrored=True)
    return Laid(motion, partner, _spread(here, other, motion))


def _flat(samples: Points) -> Points:
    return np.asarray(samples.reshape(-1, 2))


def _spread(here: Points, there: Points, motion: Matrix) -> float:
    return float(np.sqrt(np.mean(gaps_after(_flat(there), _flat(here), motion) ** 2)))


def turned_edges(second: Panel, laid: Laid) -> list[Chain]:
    """Give the second's edges on the first's, in the first's order and direction."""
    return [
        reversed_chain(transformed(second.edges[number].chain, laid.motion))
        for number in laid.partner
    ]


@dataclass(frozen=True, slots=True)
class Parting:
    """The largest distance between two outlines: mm, and where: edge number, mm along it."""

    distance: float
    edge: int
    at: float


def parting(ones: Sequence[Chain], others: Sequence[Chain]) -> Parting:
    """Give the largest distance between like edges, looked for from both sides.

    ``edge`` and ``at`` count on ``others``.
    """
    worst = Parting(-1.0, 0, 0.0)
    for number, (one, other) in enumerate(zip(ones, others, strict=True)):
        stations = _stations(other)
        places, _ = points_at_stations(other, stations)
        off = nearest(one, places).distance
        top = int(off.argmax())
        found = [(float(off[top]), float(stations[top]))]
        places, _ = points_at_stations(one, _stations(one))
        back = nearest(other, places)
        top = int(back.distance.argmax())
        found.append((float(back.distance[top]), float(back.station[top])))
        distance, at = max(found)
        if distance > worst.distance:
            worst = Parting(distance, number, at)
    return worst


def _stations(chain: Chain) -> Floats:
    return np.linspace(0.0, length(chain), 4 * _SAMPLES)


def like_marks(
    first: Sequence[Mark], second: Sequence[Mark], lengths: tuple[float, float], reach: float
) -> list[tuple[Mark, Mark]]:
    """Match the marks of two like edges, the second's run backwards: in order where as many.

    Otherwise each goes with the one nearest to it by share of the length, if within ``reach`` mm.
    """
    ones = sorted(first, key=lambda mark: mark.station)
    others = sorted(second, key=lambda mark: -mark.station)
    if len(ones) == len(others):
        return list(zip(ones, others, strict=True))
    here = np.array([mark.station / lengths[0] for mark in ones])
    there = np.array([1.0 - mark.station / lengths[1] for mark in others])
    out = []
    if len(here) and len(there):
        apart = np.abs(here[:, None] - there[None, :])
        for i, j in enumerate(apart.argmin(axis=1)):
            if apart[:, j].argmin() == i and apart[i, j] * lengths[0] <= reach:
                out.append((ones[i], others[int(j)]))
    return out
