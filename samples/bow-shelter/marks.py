"""Seams laid flat, and the reference marks on them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from tracing import Tracing

Floats = NDArray[np.float64]

CROWN_MARKS = {"1": 240.0, "2": 464.6, "3": 640.0}
"""mm along the front hoop from its crown, on both hands; 2 is where the bend begins."""
LEG_MARKS = {"4": 1010.0, "5": 1230.0}
"""The same, on the straight legs."""
RULING_MARKS = {"6": 270.0, "7": 620.0}
"""mm along the seam of top and side, from the front."""
SIDES = {"P": 1, "S": -1}


@dataclass(frozen=True, slots=True, eq=False)
class Seam:
    """A dense curve (n, 2) and the station of each of its points, mm."""

    points: Floats
    station: Floats

    def at(self, station: float) -> Floats:
        """Give the point at a station."""
        return np.array([np.interp(station, self.station, self.points[:, k]) for k in (0, 1)])

    def inward(self, station: float) -> Floats:
        """Give the unit vector square to the curve, to the left of its direction."""
        x, y = self.at(station + 0.5) - self.at(station - 0.5)
        return np.array([-y, x]) / math.hypot(x, y)


def name_marks(trace: Tracing, seam: Seam, marks: Mapping[str, float], inward: float) -> None:
    """Write each mark's name beside it, on the side of the seam that ``inward`` (±1) says."""
    for name, station in marks.items():
        beside = seam.at(station) + 9 * inward * seam.inward(station)
        trace.words(name, beside, 6, "MARKS")


def ticks(trace: Tracing, seam: Seam, marks: Mapping[str, float]) -> None:
    """Draw each mark as a short tick across the outline."""
    for station in marks.values():
        reach = 5 * seam.inward(station)
        trace.line(seam.at(station) - reach, seam.at(station) + reach, "MARKS")


def both_hands(half: Floats, station: Floats) -> Seam:
    """Give a whole curve from port to starboard; stations are 0 at the crown, + to port."""
    other = half[1:] * np.array([-1.0, 1.0])
    points = np.concatenate([other[::-1], half])
    return Seam(points, np.concatenate([-station[:0:-1], station]))


def on_both_hands(marks: Mapping[str, float], *, centre: bool = False) -> dict[str, float]:
    """Give the marks of both hands by name: P1 at 240, S1 at −240 and so on."""
    named = {hand + key: sign * at for hand, sign in SIDES.items() for key, at in marks.items()}
    return {"CL": 0.0} | named if centre else named


def ruling(front: ArrayLike, aft: ArrayLike) -> Seam:
    """Give the straight seam from the front hoop to the aft one."""
    ends = np.array([front, aft])
    return Seam(ends, np.array([0.0, math.dist(*ends)]))
