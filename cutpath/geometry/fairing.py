"""The batten: the stiffest smooth curve that stays close to every digitised point.

A thin batten held by pins takes the shape of least bending energy. Here the energy is
∫ |P″(s)|² ds over the chord-length parameter s, which for given pins is least for the cubic spline
through them (J. C. Holladay, "A smoothest curve approximation", 1957). Each pin may slide square to
the digitised line by at most a given distance; which slides give the least energy is a convex
quadratic programme with bounds, solved exactly by an active set.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.points import Bools, Floats, Point, Points, left_of, unit

_ROUNDS = 400


@dataclass(frozen=True, slots=True, eq=False)
class Batten:
    """A faired curve: cubics through the moved pins, how far each pin moved, and the energies.

    ``moved`` is (n,) mm, + to the left of travel; energies are ∫ |P″|² ds in 1/mm.
    """

    chain: Chain
    moved: Floats
    energy: float
    energy_before: float


def lay_batten(
    pins: Points,
    within: float | Sequence[float] | Floats,
    start_tangent: Point | None = None,
    end_tangent: Point | None = None,
) -> Batten:
    """Lay the stiffest curve along (n, 2) ``pins`` that stays ``within`` mm of each; ends stay.

    ``within`` may differ from pin to pin, (n,). A unit tangent clamps an end; without one it is
    free. Raises ValueError for fewer than three pins, two on one spot, or a negative distance.
    """
    count = len(pins)
    gaps = np.hypot(*np.diff(pins, axis=0).T)
    bound = np.broadcast_to(np.asarray(within, dtype=np.float64), (count,)).copy()
    if count < 3 or (gaps <= 0).any() or (bound < 0).any():
        raise ValueError("a batten needs three pins apart from each other and bounds of 0 or more")
    bound[[0, -1]] = 0.0
    beam = _Beam.of(gaps, start_tangent, end_tangent)
    normals = left_of(_directions(pins))
    hessian = sum(
        normals[:, axis, None] * beam.stiffness * normals[None, :, axis] for axis in (0, 1)
    )
    force = sum(
        normals[:, axis] * (beam.stiffness @ pins[:, axis] + beam.pull[:, axis]) for axis in (0, 1)
    )
    moved = _least_within(np.asarray(hessian), np.asarray(force), bound)
    laid = pins + moved[:, None] * normals
    return Batten(
        beam.curve(laid), moved, energy=beam.energy(laid), energy_before=beam.energy(pins)
    )


def _directions(pins: Points) -> Floats:
    """Give the direction of the digitised line at each pin, (n, 2)."""
    steps = unit(np.diff(pins, axis=0))
    return unit(np.concatenate([steps[:1], steps[:-1] + steps[1:], steps[-1:]]))


@dataclass(frozen=True, slots=True, eq=False)
class _Beam:
    """Cubic beam elements over the gaps, with the slopes already at their best.

    For one coordinate u of the pins the energy is uᵀ K u + 2 uᵀ p + c.
    """

    gaps: Floats
    stiffness: Floats  # K, (n, n)
    pull: Floats  # p, (n, 2), from clamped ends
    rest: float  # c, both coordinates together
    slopes: Floats  # (n, n + 2): best slopes from pins and clamps
    clamps: Floats  # (2, 2): the clamped end slopes, zeros where free

    @classmethod
    def of(cls, gaps: Floats, start: Point | None, end: Point | None) -> _Beam:
        count = len(gaps) + 1
        whole = _assembled(gaps)
        uu, um, mm = whole[:count, :count], whole[:count, count:], whole[count:, count:]
        held = [index for index, tangent in ((0, start), (count - 1, end)) if tangent is not None]
        free = np.setdiff1d(np.arange(count), held)
        clamps = np.zeros((2, 2))
        for row, tangent in enumerate((start, end)):
            if tangent is not None:
                clamps[row] = tangent
        grip = np.zeros((count, 2))  # which slope each clamp holds
        grip[0, 0] = start is not None
        grip[-1, 1] = end is not None
        inverse = np.linalg.inv(mm[np.ix_(free, free)])
        slopes = np.zeros((count, count + 2))
        slopes[free, :count] = -inverse @ um[:, free].T
        slopes[free, count:] = -inverse @ mm[free] @ grip
        slopes[:, count:] += grip
        pins_only, by_clamps = slopes[:, :count], slopes[:, count:]
        cross = um @ pins_only
        stiffness = uu + cross + cross.T + pins_only.T @ mm @ pins_only
        coupling = um @ by_clamps + pins_only.T @ mm @ by_clamps
        fixed = by_clamps.T @ mm @ by_clamps
        rest = float(np.einsum("ia,ij,ja->", clamps, fixed, clamps))
        return cls(gaps, (stiffness + stiffness.T) / 2, coupling @ clamps, rest, slopes, clamps)

    def energy(self, pins: Points) -> float:
        """Give ∫ |P″|² ds of the spline through ``pins``."""
        bend = float(np.einsum("ia,ij,ja->", pins, self.stiffness, pins))
        return max(bend + 2 * float((pins * self.pull).sum()) + self.rest, 0.0)

    def curve(self, pins: Points) -> Chain:
        """Give the spline through ``pins`` as cubics."""
        slope = self.slopes @ np.concatenate([pins, self.clamps])
        third = (self.gaps / 3)[:, None]
        handles = np.stack([pins[:-1] + slope[:-1] * third, pins[1:] - slope[1:] * third], axis=1)
        return make_chain(pins, None, handles)


def _assembled(gaps: Floats) -> Floats:
    """Give the stiffness of cubic elements over (positions, slopes), (2n, 2n).

    Element matrix of ∫ u″² for Hermite cubics of length h (textbook beam element, EI = 1).
    """
    count = len(gaps) + 1
    whole = np.zeros((2 * count, 2 * count))
    for index, h in enumerate(gaps):
        element = np.array(
            [
                [12, 6 * h, -12, 6 * h],
                [6 * h, 4 * h * h, -6 * h, 2 * h * h],
                [-12, -6 * h, 12, -6 * h],
                [6 * h, 2 * h * h, -6 * h, 4 * h * h],
            ]
        ) / (h**3)
        at = [index, count + index, index + 1, count + index + 1]
        whole[np.ix_(at, at)] += element
    return whole


def _least_within(hessian: Floats, force: Floats, bound: Floats) -> Floats:
    """Minimise ½ xᵀ H x + xᵀ f over |x| ≤ bound: projected Newton steps on the free part.

    Bertsekas, "Projected Newton methods for optimization problems with simple constraints", 1982.
    """
    x = np.zeros(len(force))
    scale = float(np.abs(np.diag(hessian)).max()) or 1.0
    firm = hessian + 1e-14 * scale * np.eye(len(force))
    for _ in range(_ROUNDS):
        slope = firm @ x + force
        held: Bools = ((x >= bound) & (slope <= 0)) | ((x <= -bound) & (slope >= 0))
        free = np.flatnonzero(~held)
        if not len(free) or np.abs(slope[free]).max() < 1e-13 * scale:
            break
        step = np.zeros_like(x)
        step[free] = -np.linalg.solve(firm[np.ix_(free, free)], slope[free])
        after = _searched(firm, force, bound, x, step)
        if np.abs(after - x).max() < 1e-13:
            break
        x = after
    return x


def _searched(hessian: Floats, force: Floats, bound: Floats, x: Floats, step: Floats) -> Floats:
    """Go along the projected step as far as the energy falls."""

    def energy(at: Floats) -> float:
        return float(at @ (hessian @ at) / 2 + force @ at)

    here, share = energy(x), 1.0
    for _ in range(60):
        after = np.clip(x + share * step, -bound, bound)
        if energy(after) <= here + 1e-4 * float((hessian @ x + force) @ (after - x)):
            return after
        share /= 2
    return x
