"""What was drawn twice, on top of itself, or with no length: dropped, and counted."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain, arc, line, without_short_segments
from cutpath.geometry.clusters import clusters
from cutpath.geometry.flatten import arc_geometry, points_at
from cutpath.geometry.points import Floats, Ints
from cutpath.model import Curve

_NOTHING = 1e-6
_SAME = 1e-3
"""Curves this close everywhere, mm, are one drawn twice."""


@dataclass(frozen=True, slots=True)
class Dropped:
    """How much was dropped while cleaning."""

    empty: int = 0
    doubled: int = 0
    overlapped: int = 0


def clean(curves: Sequence[Curve]) -> tuple[list[Curve], Dropped]:
    """Drop curves without length, doubles in either direction, and overlaps of lines and arcs."""
    kept = []
    for curve in curves:
        chain = without_short_segments(curve.chain, _NOTHING)
        if chain is not None:
            kept.append(curve if chain is curve.chain else replace(curve, chain=chain))
    empty = len(curves) - len(kept)
    single = _without_doubles(kept)
    merged = _without_overlaps(single)
    return merged, Dropped(empty, len(kept) - len(single), len(single) - len(merged))


def _without_doubles(curves: Sequence[Curve]) -> list[Curve]:
    alike = _perhaps_alike(curves)
    seen: set[tuple[object, ...]] = set()
    out = []
    for curve, suspect in zip(curves, alike, strict=True):
        if suspect:
            keys = _likenesses(curve.chain)
            if not seen.isdisjoint(keys):
                continue
            seen.update(keys)
        out.append(curve)
    return out


def _perhaps_alike(curves: Sequence[Curve]) -> list[bool]:
    """Tell which curves share the middle of their joints with another: only they may be doubles."""
    if not curves:
        return []
    middles = np.array([curve.chain.points.mean(axis=0) for curve in curves])
    group = clusters(middles, 2 * _SAME)
    counts = np.bincount(group)
    return [bool(counts[number] > 1) for number in group]


def _likenesses(chain: Chain) -> list[tuple[object, ...]]:
    """Give keys that a copy of ``chain`` shares, whichever way and wherever it begins.

    Two keys, on grids half a step apart, so that rounding does not part what is alike.
    """
    middles = _middles(chain)
    joints = chain.points
    out: list[tuple[object, ...]] = []
    for shift in (0.0, 0.5):
        a = np.floor(joints / _SAME + shift).astype(np.int64)
        b = np.floor(middles / _SAME + shift).astype(np.int64)
        cells = [tuple(sorted(map(tuple, grid.tolist()))) for grid in (a, b)]
        out.append((shift, chain.closed, *cells))
    return out


def _middles(chain: Chain) -> Floats:
    if not chain.is_arc.any() and not chain.is_cubic.any():
        return np.asarray((chain.starts + chain.ends) / 2)
    rows: Ints = np.arange(len(chain))
    return points_at(chain, rows, np.full(len(rows), 0.5))


def _without_overlaps(curves: Sequence[Curve]) -> list[Curve]:
    """Merge single lines on one line, and single arcs on one circle, where they overlap."""
    tracks: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for index, curve in enumerate(curves):
        if len(curve.chain) == 1 and not curve.chain.closed and not curve.chain.is_cubic[0]:
            tracks[_track(curve)].append(index)
    replaced: dict[int, Curve | None] = {}
    for members in tracks.values():
        if len(members) > 1:
            _merge_on_track(curves, members, replaced)
    out = []
    for index, curve in enumerate(curves):
        new = replaced.get(index, curve)
        if new is not None:
            out.append(new)
    return out


def _track(curve: Curve) -> tuple[object, ...]:
    """Give the line or circle that a single segment lies on, rounded, and its world."""
    chain = curve.chain
    (x0, y0), (x1, y1) = chain.starts[0].tolist(), chain.ends[0].tolist()
    if chain.is_arc[0]:
        center, radius, _, _ = arc_geometry(chain)
        place = (*np.round(center[0] / _SAME).tolist(), round(float(radius[0]) / _SAME))
        return ("arc", curve.group, curve.sort, *place)
    angle = math.atan2(y1 - y0, x1 - x0) % math.pi
    if math.pi - angle < 1e-6:
        angle = 0.0
    away = x0 * math.sin(angle) - y0 * math.cos(angle)
    return ("line", curve.group, curve.sort, round(angle / 1e-5), round(away / (10 * _SAME)))


def _merge_on_track(
    curves: Sequence[Curve], members: Sequence[int], replaced: dict[int, Curve | None]
) -> None:
    first = curves[members[0]].chain
    spans = _arc_spans(curves, members) if first.is_arc[0] else _line_spans(curves, members)
    spans.sort()
    open_low, open_high, owner = spans[0]
    groups = [(open_low, open_high, [owner])]
    for low, high, index in spans[1:]:
        last_low, last_high, owners = groups[-1]
        if low < last_high - _SAME:
            groups[-1] = (last_low, max(last_high, high), [*owners, index])
        else:
            groups.append((low, high, [index]))
    for low, high, owners in groups:
        if len(owners) > 1:
            keeper = min(owners)
            replaced.update(dict.fromkeys(owners))
            chain = _spanning(curves[keeper].chain, low, high)
            replaced[keeper] = replace(curves[keeper], chain=chain)


def _line_spans(curves: Sequence[Curve], members: Sequence[int]) -> list[tuple[float, float, int]]:
    origin, ahead = _line_frame(curves[min(members)].chain)
    spans = []
    for index in members:
        ends = (curves[index].chain.points - origin) @ ahead
        spans.append((float(ends.min()), float(ends.max()), index))
    return spans


def _line_frame(chain: Chain) -> tuple[Floats, Floats]:
    step = chain.points[1] - chain.points[0]
    return chain.points[0], step / np.hypot(*step)


def _arc_spans(curves: Sequence[Curve], members: Sequence[int]) -> list[tuple[float, float, int]]:
    """Give spans in mm along the circle; arcs that pass angle ±π are left out of merging."""
    spans = []
    for index in members:
        _, radius, angle, sweep = (part[0] for part in arc_geometry(curves[index].chain))
        low, high = sorted((float(angle), float(angle + sweep)))
        spans.append((low * float(radius), high * float(radius), index))
    return spans


def _spanning(chain: Chain, low: float, high: float) -> Chain:
    if chain.is_arc[0]:
        center, radius, _, _ = (part[0] for part in arc_geometry(chain))
        sweep = min((high - low) / float(radius), 2 * math.pi)
        return arc(center, float(radius), low / float(radius), sweep)
    origin, ahead = _line_frame(chain)
    return line(origin + low * ahead, origin + high * ahead)
