"""Panels of one outline: copies, and mirror images left and right. Their like edges seldom join."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum

from cutpath.model import EdgeName, Panel
from cutpath.walk.sides import Side

_LENGTH = (3.0, 0.004)
"""Edges of twins may differ by as much, mm and share: twice the tolerance of a seam."""
_ANGLE = 0.05


class Twin(StrEnum):
    """How two edges correspond, in panels that are otherwise alike."""

    COPY = "the panels are alike, and so is this edge of both"
    MIRROR = "the panels are mirror images, and so is this edge of both"
    GORE = "the panels are alike, and each is its own mirror image"


class Twins:
    """Tells which edges correspond in panels of one outline.

    ``sides`` hold every edge as it runs, ``turned`` as walked from its other end.
    """

    def __init__(
        self,
        panels: Sequence[Panel],
        sides: Mapping[EdgeName, Side],
        turned: Mapping[EdgeName, Side],
    ) -> None:
        self._sides, self._turned = sides, turned
        self._outlines = {
            panel.name: [EdgeName(panel.name, edge.name) for edge in panel.edges]
            for panel in panels
        }
        self._symmetric = {name: self._is_symmetric(name) for name in self._outlines}

    def between(self, first: EdgeName, second: EdgeName) -> Twin | None:
        """Give how two edges of different panels correspond, None where they don't.

        Such edges agree whether they are sewn together or not.
        """
        if first.panel == second.panel:
            return None
        if self.are_copies(first, second):
            return Twin.COPY
        if self._matches(first, second, mirrored=True):
            return Twin.GORE if self._symmetric[first.panel] else Twin.MIRROR
        return None

    def are_copies(self, first: EdgeName, second: EdgeName) -> bool:
        """Tell whether two edges are the same one of two panels of one outline."""
        return first.panel != second.panel and self._matches(first, second, mirrored=False)

    def _is_symmetric(self, panel: str) -> bool:
        outline = self._outlines[panel]
        return any(self._matches(outline[0], edge, mirrored=True) for edge in outline)

    def _matches(self, first: EdgeName, second: EdgeName, *, mirrored: bool) -> bool:
        """Tell whether the outlines agree all round from these two edges on."""
        step, sides = (-1, self._turned) if mirrored else (1, self._sides)
        here, there = self._outlines[first.panel], self._outlines[second.panel]
        # Most pairs part at once.
        if len(here) != len(there) or not _alike(self._sides[first], sides[second]):
            return False
        i, j = here.index(first), there.index(second)
        count = len(here)
        return all(
            _alike(self._sides[here[(i + k) % count]], sides[there[(j + step * k) % count]])
            for k in range(1, count)
        )


def twin_reach(length: float) -> float:
    """Give how far lengths and stations of twins may differ on an edge so long, mm."""
    least, share = _LENGTH
    return max(least, share * length)


def _alike(one: Side, other: Side) -> bool:
    reach = twin_reach(one.length)
    if abs(one.length - other.length) > reach or len(one.marks) != len(other.marks):
        return False
    if any(abs(a - b) > _ANGLE for a, b in zip(one.angles, other.angles, strict=True)):
        return False
    pairs = zip(one.marks, other.marks, strict=True)
    return all(abs(a.station - b.station) <= reach for a, b in pairs)
