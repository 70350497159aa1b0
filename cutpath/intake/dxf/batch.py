"""Many outlines of lines and arcs to chains at once: whole-array work for thousands of entities."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Bools, Floats, locked
from cutpath.geometry.transform import (
    Matrix,
    is_mirroring,
    is_similarity,
    moved_points,
    transformed,
)
from cutpath.intake.dxf.entities import Outline

FARTHEST = 1e10
"""Coordinates beyond this, mm, are damage: no float holds them to 0.001 mm."""
_STRAIGHT = 1e-12


@dataclass(slots=True)
class Batch:
    """Outlines that lie in one plane, gathered to be turned into chains together."""

    xs: list[float] = field(default_factory=list)
    ys: list[float] = field(default_factory=list)
    bulges: list[float] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    closed: list[bool] = field(default_factory=list)

    def add(self, outline: Outline) -> None:
        """Take in one more."""
        self.xs += outline.xs
        self.ys += outline.ys
        self.bulges += outline.bulges
        self.ends.append(len(self.xs))
        self.closed.append(outline.closed)

    def chains(self, matrix: Matrix) -> Iterator[Chain | None]:
        """Give each outline as a chain in mm; ``matrix`` leads there from the outlines' plane.

        None stands for one with numbers that are not finite or beyond ``FARTHEST``.
        """
        points = np.column_stack([self.xs, self.ys])
        bulges = np.array(self.bulges)
        bulges[np.abs(bulges) < _STRAIGHT] = 0.0
        with np.errstate(all="ignore"):
            moved = moved_points(points, matrix)
            good = self._all_in(
                (np.abs(moved) <= FARTHEST).all(axis=1)
                & (np.abs(points) < np.inf).all(axis=1)
                & np.isfinite(bulges)
            )
        round_stays = is_similarity(matrix)
        if round_stays:
            points = moved
            bulges = -bulges if is_mirroring(matrix) else bulges
        for whole, is_good in zip(self._cut(locked(points), locked(bulges)), good, strict=True):
            if not is_good:
                yield None
            else:
                yield whole if round_stays else transformed(whole, matrix)

    def _all_in(self, fine: Bools) -> list[bool]:
        starts = np.array([0, *self.ends[:-1]])
        whole: list[bool] = np.logical_and.reduceat(fine, starts).tolist()
        return whole

    def _cut(self, points: Floats, bulges: Floats) -> Iterator[Chain]:
        """Cut arrays that hold everything into chains, which are views of them."""
        handles = locked(np.full((len(bulges), 2, 2), np.nan))
        begin = 0
        for end, closed in zip(self.ends, self.closed, strict=True):
            last = end if closed else end - 1
            yield Chain(points[begin:end], bulges[begin:last], handles[begin:last], closed)
            begin = end
