"""Outlines that stay open: how wide the gap is, between what, and what would mend it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.close_pairs import close_pairs
from cutpath.geometry.measure import length
from cutpath.geometry.points import Floats, Points
from cutpath.intake.healing.healing import SHAPING, Healed
from cutpath.intake.healing.pairing import LONGEST_TICK

NEAR_MISS = 2.0
"""A gap up to this wide, mm, is most likely meant to be none."""


@dataclass(frozen=True, slots=True, eq=False)
class Gap:
    """The ends of two curves, or of one, that nothing lies between."""

    size: float
    first: Floats
    second: Floats
    sources: tuple[Source, Source]


def require_closed(healed: Healed, tolerance: float) -> None:
    """Raise InputError for an outline that has a gap: its size, both ends, and the mend.

    Short open curves may be marks, and curves on layers that bound nothing are not its business.
    """
    ends = healed.ends or tuple((curve.source, curve.source) for curve in healed.open)
    suspects = [
        (curve.chain.points[[0, -1]], pair)
        for curve, pair in zip(healed.open, ends, strict=True)
        if curve.sort in SHAPING and length(curve.chain) > LONGEST_TICK
    ]
    if not suspects:
        return
    points = np.concatenate([spots for spots, _ in suspects])
    gap, more = _worst(points, [source for _, pair in suspects for source in pair])
    raise InputError(_message(gap, tolerance, more), _at(gap), _mend(gap))


def _worst(points: Points, sources: Sequence[Source]) -> tuple[Gap, int]:
    """Give the gap to tell about, and how many more look like near misses."""
    first, second = close_pairs(points, NEAR_MISS)
    sizes = np.hypot(*(points[first] - points[second]).T)
    if len(sizes):
        best = int(sizes.argmin())
        a, b = int(first[best]), int(second[best])
    else:
        a = 0
        away = np.hypot(*(points - points[0]).T)
        away[0] = np.inf
        b = int(away.argmin())
    size = float(np.hypot(*(points[a] - points[b])))
    return Gap(size, points[a], points[b], (sources[a], sources[b])), max(len(sizes) - 1, 0)


def _message(gap: Gap, tolerance: float, more: int) -> str:
    x, y = gap.second
    one, other = gap.sources
    beyond = "its own other end" if other is one else f"the nearest end is that of {other.entity}"
    place = f"{gap.size:.2f} mm away, at ({x:.2f}, {y:.2f}) mm"
    also = f"; {more} more gaps are as near" if more > 1 else "; one more gap is as near" * more
    return f"the outline is open: {beyond} {place}; gaps up to {tolerance:g} mm are closed{also}"


def _at(gap: Gap) -> Source:
    return replace(gap.sources[0], xy=(float(gap.first[0]), float(gap.first[1])))


def _mend(gap: Gap) -> str:
    if gap.size <= NEAR_MISS:
        wider = np.ceil(gap.size * 100 + 1) / 100
        return f"Close it in the drawing, or raise join (--join {wider:.2f}mm) if it is one line."
    return "Close it in the drawing; a line that is no outline belongs on a layer of its own (pen)."
