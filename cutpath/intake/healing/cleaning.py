"""What was drawn twice, on top of itself, or with no length: dropped, and counted."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.chain import (
    Chain,
    arc,
    circle,
    closed_up,
    line,
    segment,
    without_short_segments,
)
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.measure import length, segment_lengths
from cutpath.geometry.overlaps import Overlaps, merged_arcs, merged_lines, overlaps
from cutpath.geometry.points import Floats, Ints
from cutpath.geometry.strung import Strung, strung
from cutpath.intake.healing.doubles import doubles
from cutpath.intake.healing.meetings import SAME_PLACE, closes_itself
from cutpath.model import Curve, Sort

_SHARE_OF_JOIN = 0.25
"""Curves nearer than this share of the joining tolerance are one drawn twice."""
_WHOLE_TURN = 6.283185


@dataclass(frozen=True, slots=True)
class Dropped:
    """How much was dropped while cleaning."""

    empty: int = 0
    doubled: int = 0
    overlapped: int = 0


def clean(curves: Sequence[Curve], tolerance: float) -> tuple[list[Curve], Dropped]:
    """Drop curves without length, doubles in either direction, and overlaps of lines and arcs.

    What lies within a quarter of ``tolerance`` (mm) counts as the same. Closed curves stay whole;
    an open polyline that overlaps another is taken apart for the join to put together again.
    Raises InputError for numbers that are not finite, and when too many curves look alike.
    """
    if not curves:
        return [], Dropped()
    apart = max(tolerance * _SHARE_OF_JOIN, SAME_PLACE)
    curves = [_closed_where_it_begins(curve) for curve in curves]
    soup = strung([curve.chain for curve in curves])
    kept = _with_length(curves, soup)
    try:
        single = _without_doubles(kept, _restrung(soup, curves, kept), apart)
        soup = _restrung(soup, curves, single)
        merged, lost = _without_overlaps(single, soup, apart, max(tolerance, apart))
    except OverflowError:
        raise InputError(
            "thousands of curves lie on one another",
            replace(curves[0].source, entity=""),
            "Check the drawing's unit (--units), or delete the copies.",
        ) from None
    return merged, Dropped(len(curves) - len(kept), len(kept) - len(single), lost)


def _closed_where_it_begins(curve: Curve) -> Curve:
    """Give a curve that is drawn back to its very beginning as a closed one."""
    chain = curve.chain
    if chain.closed or len(chain.bulges) == 1:
        return curve
    gap = float(np.hypot(*(chain.points[0] - chain.points[-1])))
    if gap > SAME_PLACE or not closes_itself(length(chain), gap):
        return curve
    return replace(curve, chain=closed_up(chain))


def _restrung(soup: Strung, before: Sequence[Curve], now: Sequence[Curve]) -> Strung:
    """Give ``soup``, strung of ``before``, for ``now``: stringing again is what takes time."""
    if before is now or not now:
        return soup
    return strung([curve.chain for curve in now])


def _with_length(curves: Sequence[Curve], soup: Strung) -> Sequence[Curve]:
    finite = np.isfinite(soup.chain.points).all()
    if not finite:
        raise _not_a_number(curves)
    chord = np.hypot(*(soup.chain.ends - soup.chain.starts)[soup.rows].T)
    suspect = set(soup.owner[chord <= SAME_PLACE].tolist())
    if not suspect:
        return curves
    kept = []
    for index, curve in enumerate(curves):
        if index not in suspect:
            kept.append(curve)
            continue
        chain = without_short_segments(curve.chain, SAME_PLACE)
        if chain is not None:
            kept.append(curve if chain is curve.chain else replace(curve, chain=chain))
    return kept


def _not_a_number(curves: Sequence[Curve]) -> InputError:
    bad = next(curve for curve in curves if not np.isfinite(curve.chain.points).all())
    return InputError(
        "a coordinate is not a number",
        bad.source,
        "Delete this entity in the drawing and draw it again.",
    )


def _without_doubles(curves: Sequence[Curve], soup: Strung, apart: float) -> Sequence[Curve]:
    original = doubles([curve.chain for curve in curves], soup, apart)
    best: dict[int, int] = {}
    for index, first in enumerate(original):
        # Of copies, one whose layer says what it is for stands for all.
        if first not in best or (
            curves[best[first]].sort is Sort.UNSAID and curves[index].sort is not Sort.UNSAID
        ):
            best[first] = index
    if len(best) == len(curves):
        return curves
    return [curves[index] for index in sorted(best.values())]


def _without_overlaps(
    curves: Sequence[Curve], soup: Strung, apart: float, least: float
) -> tuple[list[Curve], int]:
    """Merge lines on one line, and arcs on one circle, where they overlap; give how many went."""
    if len(curves) < 2:
        return list(curves), 0
    owner = np.full(len(soup.chain), -1)
    owner[soup.rows] = soup.owner
    closed = np.array([curve.chain.closed for curve in curves])
    found = overlaps(soup.chain, soup.rows, apart, least)
    is_open = ~closed[owner[found.on]]
    found = found.where((owner[found.on] != owner[found.by]) & is_open)
    by_loop = closed[owner[found.by]]
    covered = _covered(found.where(by_loop), soup, apart)
    groups = _groups(found.where(~by_loop), covered)
    if not covered and not groups:
        return list(curves), 0
    return _rebuilt(curves, soup, owner, covered, groups)


def _covered(found: Overlaps, soup: Strung, apart: float) -> set[int]:
    """Give the segments that are covered from end to end."""
    sizes = segment_lengths(soup.chain)
    spans: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for on, low, high in zip(
        found.on.tolist(), found.low.tolist(), found.high.tolist(), strict=True
    ):
        spans[on].append((low, high))
    covered = set()
    for row, parts in spans.items():
        reach = 0.0
        for low, high in sorted(parts):
            if low > reach + apart:
                break
            reach = max(reach, high)
        if reach >= sizes[row] - apart:
            covered.add(row)
    return covered


def _groups(found: Overlaps, covered: set[int]) -> list[list[int]]:
    """Give the segments that hang together by overlapping, lowest first."""
    beside: dict[int, list[int]] = defaultdict(list)
    for a, b in zip(found.on.tolist(), found.by.tolist(), strict=True):
        if a not in covered and b not in covered:
            beside[a].append(b)
    seen: set[int] = set()
    groups = []
    for row in sorted(beside):
        if row in seen:
            continue
        group, waiting = [], [row]
        seen.add(row)
        while waiting:
            here = waiting.pop()
            group.append(here)
            waiting += [other for other in beside[here] if other not in seen]
            seen.update(beside[here])
        groups.append(sorted(group))
    return groups


def _rebuilt(
    curves: Sequence[Curve],
    soup: Strung,
    owner: Ints,
    covered: set[int],
    groups: Sequence[Sequence[int]],
) -> tuple[list[Curve], int]:
    """Give the curves with those that overlap taken apart, merged, and the covered left out."""
    made: dict[int, Chain | None] = dict.fromkeys(covered)
    for group in groups:
        made.update(dict.fromkeys(group))
        made[group[0]] = _merged(soup.chain, group)
    apart = {int(owner[row]) for row in made}
    out: list[Curve] = []
    for index, curve in enumerate(curves):
        if index not in apart:
            out.append(curve)
            continue
        for row in soup.rows[soup.begin[index] : soup.end[index]].tolist():
            chain = made[row] if row in made else segment(soup.chain, row)
            if chain is not None:
                out.append(replace(curve, chain=chain))
    return out, len(covered) + sum(len(group) - 1 for group in groups)


def _merged(chain: Chain, group: Sequence[int]) -> Chain:
    rows = np.array(group)
    if chain.is_arc[rows[0]]:
        center, radius, angle, sweep = (part[rows] for part in arc_geometry(chain))
        longest = int(np.abs(sweep).argmax())
        order: Ints = np.argsort(-np.abs(sweep), kind="stable")
        low: Floats = np.where(sweep < 0, angle + sweep, angle)
        begin, span = merged_arcs(low[order], np.abs(sweep)[order])
        if span >= _WHOLE_TURN:
            return circle(center[longest], float(radius[longest]))
        return arc(center[longest], float(radius[longest]), begin, span)
    start, end = chain.starts[rows], chain.ends[rows]
    first, last = merged_lines(start, end)
    both = np.stack([start, end], axis=1).reshape(-1, 2)
    return line(both[first], both[last])
