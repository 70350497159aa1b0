"""Which reading does not fit the rest, told from what the others say it should be.

With H = S (SᵀS)⁻¹ Sᵀ of the slopes S, the misfit of a reading against a fit without it, in its own
standard deviation, is tᵢ = eᵢ / √(1 − hᵢ), and the sum of squares falls by tᵢ² when it is left out
(Cook and Weisberg, Residuals and Influence in Regression, 1982, section 2.2, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from cutpath.bench.fit.observing import Observation
from cutpath.bench.fit.solving import Solved
from cutpath.geometry.points import Floats

_SURE = 0.01
"""How often right readings may be called inconsistent."""
_FITS = 0.02
"""The rest is consistent when chance alone would make it worse this often."""
_CLEARLY = 9.0
"""A suspect is the one when leaving out another leaves a sum of squares so much larger."""
_UNCHECKED = 1e-6
"""Of 1 − h: below it no other reading says what this one should be."""
_UNFELT = 1e-9
_CLEAR_OF_NOISE = 4.0


@dataclass(frozen=True, slots=True)
class Suspect:
    """Readings (by row) that do not fit: left out, or exchanged, all the rest agrees."""

    rows: tuple[int, ...]
    exchanged: bool = False


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether the readings agree; if not, the suspects: one, several that may be it, or none.

    ``scatter`` is how much wider the readings scatter than their uncertainties say.
    """

    agree: bool
    suspects: tuple[Suspect, ...]
    scatter: float


def judge(solved: Solved, seen: Sequence[Observation]) -> Verdict:
    """Tell whether the readings agree within what their uncertainties allow."""
    whole = _Residuals(solved.slopes, solved.misfits)
    scatter = math.sqrt(whole.squares / whole.spare) if whole.spare else 1.0
    if whole.agree(_SURE):
        return Verdict(True, (), scatter)
    suspects = _left_out(whole) or _exchanged(whole, seen)
    return Verdict(False, suspects, scatter)


class _Residuals:
    """What plain least squares leaves of ``misfits``, and how far the readings check each other."""

    def __init__(self, slopes: Floats, misfits: Floats) -> None:
        basis, sizes, _ = np.linalg.svd(slopes, full_matrices=False)
        self.basis: Floats = basis[:, sizes > _UNFELT * sizes.max(initial=0.0)]
        self.misfits = misfits
        self.free: Floats = 1 - (self.basis**2).sum(axis=1)
        self.spare = len(misfits) - self.basis.shape[1]
        self.left, self.squares = self.projected(misfits)

    def projected(self, misfits: Floats) -> tuple[Floats, float]:
        """Give what a fit leaves of other ``misfits`` of the same readings, and its square."""
        left: Floats = misfits - self.basis @ (self.basis.T @ misfits)
        return left, float(left @ left)

    def agree(self, share: float, misfits: Floats | None = None) -> bool:
        """Tell whether chance makes such residuals more often than ``share`` of all times.

        Both the sum of squares and the largest one, counted among as many, have half of it.
        """
        left, squares = (self.left, self.squares) if misfits is None else self.projected(misfits)
        checked = self.free > _UNCHECKED
        if self.spare <= 0 or not checked.any():
            return True
        worst = float((np.abs(left[checked]) / np.sqrt(self.free[checked])).max())
        odds = math.erfc(worst / math.sqrt(2)) * int(checked.sum())
        return _chance_of_more(squares, self.spare) > share / 2 and odds > share / 2


def _left_out(whole: _Residuals) -> tuple[Suspect, ...]:
    """Give the readings any of which, left out, leaves the rest in agreement."""
    found: list[tuple[float, Suspect]] = []
    for row in np.flatnonzero(whole.free > _UNCHECKED).tolist():
        keep = np.arange(len(whole.left)) != row
        rest = _Residuals(whole.basis[keep], whole.misfits[keep])
        if rest.agree(_FITS):
            found.append((rest.squares, Suspect((row,))))
    return _likeliest(found)


def _exchanged(whole: _Residuals, seen: Sequence[Observation]) -> tuple[Suspect, ...]:
    """Give pairs of readings that agree with the rest when each takes the other's place."""
    found: list[tuple[float, Suspect]] = []
    for first, second in combinations(range(len(seen)), 2):
        apart = seen[first].mm - seen[second].mm
        if abs(apart) < _CLEAR_OF_NOISE * max(seen[first].sigma, seen[second].sigma):
            continue
        swapped = whole.misfits.copy()
        swapped[first] += apart / seen[first].sigma
        swapped[second] -= apart / seen[second].sigma
        if whole.agree(_FITS, swapped):
            found.append((whole.projected(swapped)[1], Suspect((first, second), exchanged=True)))
    return _likeliest(found)


def _likeliest(found: list[tuple[float, Suspect]]) -> tuple[Suspect, ...]:
    found.sort(key=lambda each: each[0])
    return tuple(each for squares, each in found if squares < found[0][0] + _CLEARLY)


def _chance_of_more(squares: float, spare: int) -> float:
    """Give how often ``spare`` squared normal values add up to more (χ²)."""
    from scipy.special import gammaincc  # noqa: PLC0415  (scipy is slow to load)

    return float(gammaincc(spare / 2, squares / 2))
