"""What a walk along the seams found, as frozen values.

    Seam → SeamReport (numbers) → WalkFinding (what they mean, for people)

Stations and lengths are mm, measured in the seam's own direction: along the first edge as it runs,
along the second from whichever end is sewn to the first's start. Differences are second − first,
less the ease wanted up to there; angles are radians.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from cutpath.model import EdgeName, Seam


class Verdict(StrEnum):
    """Whether a seam can be sewn: ``look`` is inside every limit, yet something is odd."""

    FITS = "fits"
    LOOK = "look"
    OUT = "out"


@dataclass(frozen=True, slots=True)
class MarkPair:
    """One mark on both edges; ``first_name`` and ``second_name`` are empty where it has none."""

    first_name: str
    second_name: str
    first: float
    second: float
    difference: float

    @property
    def name(self) -> str:
        """Give what both sides call it."""
        if self.first_name == self.second_name or not self.second_name:
            return self.first_name
        return f"{self.first_name}/{self.second_name}" if self.first_name else self.second_name


@dataclass(frozen=True, slots=True)
class LoneMark:
    """A mark that the other edge lacks."""

    name: str
    station: float


@dataclass(frozen=True, slots=True)
class Interval:
    """The way from one mark to the next: numbers of the marks, −1 for the seam's start.

    ``begin`` and ``end`` count into ``SeamReport.marks``; ``end`` equals its length at the seam's
    end. ``difference`` is second − first less this interval's part of the ease.
    """

    begin: int
    end: int
    first: float
    second: float
    difference: float


@dataclass(frozen=True, slots=True)
class SeamEnd:
    """How the outline crosses one end of the seam.

    ``step`` is how far, along the seam's direction, the second corner lies from the first when the
    nearest marks are laid together; ``kink`` is |180° − θ1 − θ2|, with θ the panels' inner angles
    there; ``runs_on`` tells that both neighbouring edges are free, so that they make one line after
    sewing.
    """

    step: float
    kink: float
    runs_on: bool


@dataclass(frozen=True, slots=True)
class Shape:
    """The largest gap between both edges after the best rigid motion, and its station."""

    gap: float
    station: float


class Cause(StrEnum):
    """The likely cause of a finding, as recognised from the numbers."""

    WRONG_SIDE_UP = "wrong side up"
    BACKWARDS = "edge named backwards"
    NAMES_SWAPPED = "mark names in the wrong order"
    SCALE = "scale of one drawing"
    CORNER_MOVED = "corner moved"
    STRETCH_OFF = "one stretch off"
    EVENLY_LONGER = "longer evenly"
    MARK_MISREAD = "mark misread"
    MARK_LONE = "mark on one side only"
    KINK = "kink across the seam"
    SHAPE = "shapes differ"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True)
class Symptom:
    """One recognised fault of one seam.

    ``size`` is in mm (radians for a kink, a plain factor for a scale); ``begin`` and ``end`` say
    between which marks of the report it lies, as in ``Interval`` (equal for one mark); ``station``
    is its place in mm along the seam; ``detail`` names a mark or what a factor stands for;
    ``panel`` the panel at fault where the numbers tell it.
    """

    cause: Cause
    size: float
    begin: int
    end: int
    station: float
    detail: str = ""
    panel: str = ""


@dataclass(frozen=True, slots=True)
class SeamReport:
    """Everything measured on one seam, and the faults recognised from its own numbers.

    ``neighbours`` are the edges that meet the first and the second at the start, then at the end.
    """

    seam: Seam
    first_length: float
    second_length: float
    difference: float
    marks: tuple[MarkPair, ...]
    intervals: tuple[Interval, ...]
    first_lone: tuple[LoneMark, ...]
    second_lone: tuple[LoneMark, ...]
    ends: tuple[SeamEnd, SeamEnd]
    neighbours: tuple[tuple[EdgeName, EdgeName], tuple[EdgeName, EdgeName]]
    shape: Shape
    symptoms: tuple[Symptom, ...]
    verdict: Verdict

    @property
    def length_limit(self) -> float:
        """Give the tolerance over the whole edge, mm."""
        least, share = self.seam.length_tolerance
        return max(least, share * self.first_length)


@dataclass(frozen=True, slots=True)
class WalkFinding:
    """What is wrong with a seam, for people; the first in a list hurts most.

    ``place`` names the mark, the marks around it, or mm along; ``suspects`` are the edges of which
    one is wrong; ``begin`` and ``end`` are stations, mm; ``size`` as in ``Symptom``.
    """

    seam: str
    verdict: Verdict
    cause: Cause
    place: str
    begin: float
    end: float
    size: float
    message: str
    recheck: str
    suspects: tuple[EdgeName, ...]
