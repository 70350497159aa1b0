"""Robust least squares of observations, with the uncertainty of what comes out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.bench.fit.observing import Observation
from cutpath.bench.fit.unknowns import Kind, Unknown, Values
from cutpath.geometry.points import Bools, Floats

_BEND = 2.0
"""Standard uncertainties from which the soft L1 loss lets a reading pull less than its square."""
_STOPS = 1e-9
"""The fit ends when values, or the sum that it makes least, change by less than this share."""
_ASIDE = 0.37
_BEYOND = 10.0
_NEAR = 1e-3
"""How far values are moved, in their steps, to see what readings do."""


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """What a fit came to: all values, and by row the readings' misfits in their uncertainties.

    ``slopes`` (readings × unknowns) are the misfits' changes a step of each unknown.
    """

    unknowns: tuple[Unknown, ...]
    values: dict[str, float]
    misfits: Floats
    slopes: Floats

    def sigma(self, name: str) -> float:
        """Give the standard uncertainty of a fitted value, in its own unit."""
        index = [unknown.name for unknown in self.unknowns].index(name)
        return float(np.sqrt(self.covariance()[index, index])) * self.unknowns[index].kind.step

    def covariance(self) -> Floats:
        """Give the covariance of the unknowns, in their steps, for readings as uncertain as said.

        (SᵀS)⁻¹ by the slopes S, times what the robust loss costs at the normal distribution,
        E ψ² / (E ψ')² (Huber, Robust Statistics, section 3.2, from memory).
        """
        return np.asarray(np.linalg.inv(self.slopes.T @ self.slopes) * _COST, dtype=np.float64)


def solve(
    seen: Sequence[Observation], unknowns: Sequence[Unknown], start: Values, *, robust: bool = True
) -> Solved:
    """Give the values that explain ``seen`` best; those not among ``unknowns`` stay at ``start``.

    The unknowns must be determined: see ``determining``.
    """
    from scipy.optimize import least_squares  # noqa: PLC0415  (takes a third of a second)

    steps = np.array([unknown.kind.step for unknown in unknowns])
    begin = np.array([start[unknown.name] for unknown in unknowns])

    def values_at(x: Floats) -> dict[str, float]:
        moved = begin + x * steps
        return {**start, **{u.name: float(v) for u, v in zip(unknowns, moved, strict=True)}}

    # What a reading has nothing to do with is found once, away from places where slopes vanish.
    aside = {**start, **{u.name: start[u.name] + _ASIDE * u.kind.step for u in unknowns}}
    felt = slopes(seen, unknowns, aside) != 0
    # A first step as if all were straight lines, which nearly all of it is.
    table = slopes(seen, unknowns, start, felt)
    first = np.linalg.lstsq(table, -misfits(seen, start), rcond=None)[0]
    # A gross misreading must not lead it to where nothing is nearly straight.
    ends = [_ends(unknown) for unknown in unknowns]
    low, high = (np.asarray(end) / steps - begin / steps for end in zip(*ends, strict=True))
    done = least_squares(
        lambda x: misfits(seen, values_at(x)),
        np.clip(first, low + _STOPS, high - _STOPS),
        bounds=(low, high),
        jac=lambda x: slopes(seen, unknowns, values_at(x), felt),
        loss="soft_l1" if robust else "linear",
        f_scale=_BEND,
        xtol=_STOPS,
        ftol=_STOPS,
        gtol=_STOPS,
    )
    values = values_at(done.x)
    return Solved(
        tuple(unknowns), values, misfits(seen, values), slopes(seen, unknowns, values, felt)
    )


def _ends(unknown: Unknown) -> tuple[float, float]:
    """Give how far a fit goes: a little beyond what may be, so that it shows; any for lengths."""
    if unknown.kind is Kind.LENGTH:
        return -math.inf, math.inf
    spare = _BEYOND * unknown.kind.step
    return unknown.least - spare, unknown.most + spare


def misfits(seen: Sequence[Observation], values: Values) -> Floats:
    """Give modelled minus read of each reading, in its standard uncertainty."""
    return np.array([(each.model(values) - each.mm) / each.sigma for each in seen])


def slopes(
    seen: Sequence[Observation],
    unknowns: Sequence[Unknown],
    values: Values,
    felt: Bools | None = None,
) -> Floats:
    """Give how the misfits change, a step of each unknown, by central differences.

    ``felt`` (readings × unknowns) tells which do at all; None when that is not known.
    """
    found = np.zeros((len(seen), len(unknowns)))
    for column, unknown in enumerate(unknowns):
        aside = _NEAR * unknown.kind.step
        more = {**values, unknown.name: values[unknown.name] + aside}
        less = {**values, unknown.name: values[unknown.name] - aside}
        for row, each in enumerate(seen):
            if felt is not None and not felt[row, column]:
                continue
            change = each.model(more) - each.model(less)
            found[row, column] = change / (2 * _NEAR * each.sigma)
    return found


def _cost() -> float:
    """Give the variance that soft L1 has over least squares when readings are normal.

    Its loss 2 (√(1 + z) − 1), z = (r / c)², pulls as ψ = r / √(1 + z), ψ' = (1 + z)^(−3/2).
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(80)
    points: Floats = np.asarray(nodes, dtype=np.float64)
    weights = weights / math.sqrt(2 * math.pi)
    bent = 1 + (points / _BEND) ** 2
    squared = float(weights @ (points**2 / bent))
    return squared / float(weights @ bent**-1.5) ** 2


_COST = _cost()
