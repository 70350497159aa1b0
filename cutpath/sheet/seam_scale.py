"""The common scale on which both edges of a seam are stretched flat, and their names on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutpath.geometry.points import Floats
from cutpath.model import EdgeName
from cutpath.seam_report import Interval, SeamReport

_FACTORS = (100, 50, 20, 10, 5, 2, 1)
_MOST = 12.0
"""How far apart, mm on paper, the two ends of a mark's line may be drawn."""
_CALM = 4.0
"""What the tolerance may come to on paper, so that a good seam does not look alarming."""
_ROUNDING = 1e-7


@dataclass(frozen=True, slots=True)
class SeamScale:
    """Where a station lies on paper: ``left`` is the seam's start, ``scale`` paper per cloth.

    The second edge's marks are drawn ``factor`` times their difference away from the first's.
    """

    left: float
    scale: float
    factor: int

    @classmethod
    def fitted(cls, report: SeamReport, left: float, right: float) -> SeamScale:
        """Choose scale and factor so that all of both edges lies between two places on paper."""
        for factor in _FACTORS:
            stations, differences = _drawn(report)
            drawn = stations + factor * differences
            low, high = min(0.0, float(drawn.min())), max(report.first_length, float(drawn.max()))
            scale = (right - left) / (high - low)
            found = cls(left - low * scale, scale, factor)
            apart = float(np.abs(differences).max()) * factor * scale
            calm = report.seam.mark_tolerance * factor * scale <= _CALM
            if apart <= _MOST and calm and not _crosses(stations, differences, factor):
                break
        return found

    def first(self, station: float) -> float:
        """Give the place on paper of a station on the first edge."""
        return self.left + self.scale * station

    def second(self, station: float, difference: float) -> float:
        """Give the place on paper of what the second edge has for the first's ``station``."""
        return self.left + self.scale * (station + self.factor * difference)

    def second_alone(self, report: SeamReport, station: float) -> float:
        """Give the place on paper of a station on the second edge that has no partner."""
        pairs = sorted((mark.second, mark.first, mark.difference) for mark in report.marks)
        ends = (report.second_length, report.first_length, report.difference)
        own, places = [0.0], [self.first(0.0)]
        for there, here, difference in (*pairs, ends):
            own.append(there)
            places.append(self.second(here, difference))
        return float(np.interp(station, own, places))

    @property
    def words(self) -> str:
        """Say how differences are drawn."""
        return f"drawn {self.factor} times" if self.factor > 1 else "drawn as they are"


def _drawn(report: SeamReport) -> tuple[Floats, Floats]:
    """Give stations and differences of start, marks and end, (n + 2,) each."""
    stations = [0.0, *(mark.first for mark in report.marks), report.first_length]
    differences = [0.0, *(mark.difference for mark in report.marks), report.difference]
    return np.array(stations), np.array(differences)


def _crosses(stations: Floats, differences: Floats, factor: int) -> bool:
    """Tell whether the factor makes lines cross that do not cross as they are."""
    true, drawn = np.diff(stations + differences), np.diff(stations + factor * differences)
    return bool(((true >= 0) & (drawn < 0)).any())


def is_out(report: SeamReport, interval: Interval) -> bool:
    """Tell whether the way from one mark to the next is off by more than its tolerance."""
    return abs(interval.difference) > report.seam.mark_tolerance + _ROUNDING


def is_long(report: SeamReport) -> bool:
    """Tell whether the whole edge is off by more than its tolerance."""
    return abs(report.difference) > report.length_limit + _ROUNDING


def edge_words(edge: EdgeName) -> str:
    """Name an edge as the job file does."""
    return f"{edge.panel}/{edge.edge}"
