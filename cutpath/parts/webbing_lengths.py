"""How long straps are cut, where they fold, and where boxes of stitches go."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutpath.settings.part_tables.webbing import WebbingEntry, WebbingKind

SEAL = 2.0
"""What melts away at each sealed end, mm: 1.6 to 3.2 (osgoodwaybag.com, strap sewing)."""
KERF = 2.0
"""What one cut takes from a roll, mm (common practice, no source)."""
BOX_FROM_EDGE = 6.0
"""Boxes of stitches keep this far from edges and fold, mm (osgoodwaybag.com, strap sewing)."""


@dataclass(frozen=True, slots=True)
class StrapLengths:
    """What a strap's cut length is made of, mm. ``seal`` is what melts at each end.

    A turn-back goes half round a bar: its middle line bends with (bar + thickness) / 2.
    """

    finished: float
    backs: tuple[float, float]
    wrap: float
    seal: float
    allowance: float

    @property
    def cut(self) -> float:
        """Give the length that is cut."""
        wraps = self.wrap * sum(back > 0 for back in self.backs)
        return self.finished + sum(self.backs) + wraps + self.allowance + 2 * self.seal

    @property
    def folds(self) -> tuple[float, ...]:
        """Give where it folds, the middle of each half-wrap, mm from the first end as cut."""
        first, second = self.backs
        out = []
        if first:
            out.append(self.seal + first + self.wrap / 2)
        if second:
            out.append(self.cut - self.seal - second - self.wrap / 2)
        return tuple(out)

    @property
    def boxes(self) -> tuple[tuple[float, float], ...]:
        """Give where boxes begin and end: on the strap's own run, over the turned-back end."""
        out = []
        for fold, back, way in zip(
            self.folds, (b for b in self.backs if b), self._ways(), strict=True
        ):
            near = fold + way * (self.wrap / 2 + min(BOX_FROM_EDGE, back / 4))
            far = fold + way * (self.wrap / 2 + back - min(BOX_FROM_EDGE, back / 4))
            out.append((min(near, far), max(near, far)))
        return tuple(out)

    def _ways(self) -> tuple[int, ...]:
        """Give 1 where the run lies after the fold, −1 where before."""
        first, second = self.backs
        return (1,) * bool(first) + (-1,) * bool(second)


def half_wrap(bar: float, thickness: float) -> float:
    """Give the length of a strap's middle line half round a bar, mm; none without a bar."""
    return math.pi * (bar + thickness) / 2 if bar else 0.0


def strap_lengths(entry: WebbingEntry, kind: WebbingKind, finished: float) -> StrapLengths:
    """Give the lengths of a strap that is ``finished`` mm long between its folds or ends."""
    first, second, *_ = (*entry.turn_backs, 0.0, 0.0)
    seal = SEAL if entry.sealed else 0.0
    wrap = half_wrap(entry.bar, kind.thickness)
    return StrapLengths(finished, (first, second), wrap, seal, entry.allowance)


def tab_lengths(entry: WebbingEntry, kind: WebbingKind) -> StrapLengths:
    """Give the lengths of a buckle's tab: folded in half round the buckle's bar."""
    seal = SEAL if entry.sealed else 0.0
    wrap = half_wrap(entry.buckle_bar, kind.thickness)
    return StrapLengths(entry.buckle_tab, (entry.buckle_tab, 0.0), wrap, seal, 0.0)


def box_stitching(width: float, boxes: tuple[tuple[float, float], ...]) -> float:
    """Give the length of stitching of boxes with a cross in each, mm."""
    wide = max(width - 2 * BOX_FROM_EDGE, width / 3)
    return sum(2 * (wide + end - begin) + 2 * math.hypot(wide, end - begin) for begin, end in boxes)
