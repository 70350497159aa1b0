"""What was changed on panels as they were digitised, as frozen values: always told, never silent.

Lengths in mm, places in mm along the edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from cutpath.geometry.chain import Chain
from cutpath.model import EdgeName


@dataclass(frozen=True, slots=True, eq=False)
class Faired:
    """One edge laid fair. ``digitised`` is the edge before, ``chain`` after.

    ``largest`` is how far the curve moved from a digitised point at most, ``typical`` the root of
    the mean square; ``at`` is where the largest is. Inflections are counted before and after;
    ``smallest_radius`` is infinite for a straight edge. ``mark_shift`` is the most that a mark's
    station changed. ``energy`` and ``energy_before`` are ∫ |P″|² ds, 1/mm.
    """

    edge: EdgeName
    within: float
    digitised: Chain
    chain: Chain
    largest: float
    at: float
    typical: float
    inflections_before: int
    inflections: int
    smallest_radius: float
    mark_shift: float
    energy_before: float
    energy: float


class PairUse(StrEnum):
    """What becomes of two panels that mirror each other."""

    COMPARE = "compare"
    MEAN = "mean"
    MIRROR = "mirror"


@dataclass(frozen=True, slots=True)
class Paired:
    """Two panels laid on each other as mirror images by the best motion.

    ``largest`` is the largest distance between the outlines, found ``at`` mm along ``edge`` of the
    second; ``mark`` names the mark that differs most along its edge, by ``mark_difference``
    (second − first). ``is_said`` tells pairs that the job names from those found by likeness.
    """

    first: str
    second: str
    use: PairUse
    is_said: bool
    largest: float
    edge: EdgeName
    at: float
    mark: str
    mark_difference: float


@dataclass(frozen=True, slots=True)
class Trued:
    """One seam whose small differences were shared by both edges, or why they were not.

    ``shared`` is the difference in length that was shared (second − first less ease), ``mark_move``
    the most that a mark was moved along its edge, ``corner_move`` the most that a corner was moved.
    ``why_not`` is empty where the seam was trued.
    """

    seam: str
    shared: float
    mark_move: float
    corner_move: float
    why_not: str


@dataclass(frozen=True, slots=True)
class Revisions:
    """All that was changed on a job's panels."""

    faired: tuple[Faired, ...] = ()
    pairs: tuple[Paired, ...] = ()
    trued: tuple[Trued, ...] = ()
