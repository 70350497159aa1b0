"""Where lines lie on lines and arcs on arcs of the same circle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.points import Bools, Floats, Ints, Points, cross, unit

_BLOCK = 500
_MOST_MEETINGS = 300_000_000
_PER_LENGTH = 1 / 8
"""What lies together must be this many times as near as it is long, or a fine bend would count."""


@dataclass(frozen=True, slots=True, eq=False)
class Overlaps:
    """Segment ``on`` is covered by segment ``by`` from ``low`` to ``high`` mm along it, each (k,).

    Every overlap is told twice, once for each of the two.
    """

    on: Ints
    by: Ints
    low: Floats
    high: Floats

    def where(self, keep: Bools) -> Overlaps:
        """Give only those to ``keep``, (k,)."""
        return Overlaps(self.on[keep], self.by[keep], self.low[keep], self.high[keep])


def overlaps(chain: Chain, rows: Ints, apart: float, least: float) -> Overlaps:
    """Give where lines or arcs among segments ``rows`` of ``chain`` lie on each other.

    They do when they run within ``apart`` mm for more than ``least`` mm; cubics are not compared.
    Raises OverflowError when too many lie in one place to be compared.
    """
    is_line = ~(chain.is_arc[rows] | chain.is_cubic[rows])
    lines, arcs = rows[is_line], rows[chain.is_arc[rows]]
    found = [
        _lines_on_lines(chain, lines, apart, least),
        _arcs_on_arcs(chain, arcs, apart, least),
    ]
    return Overlaps(
        np.concatenate([part.on for part in found]),
        np.concatenate([part.by for part in found]),
        np.concatenate([part.low for part in found]),
        np.concatenate([part.high for part in found]),
    )


def _lines_on_lines(chain: Chain, rows: Ints, apart: float, least: float) -> Overlaps:
    start, end = chain.starts[rows], chain.ends[rows]
    first, second = _nearly_aligned(start, end, least)
    one = _cover(start, end, first, second, apart, least)
    two = _cover(start, end, second, first, apart, least)
    both = one[2] & two[2]
    on = np.concatenate([first[both], second[both]])
    by = np.concatenate([second[both], first[both]])
    low = np.concatenate([one[0][both], two[0][both]])
    high = np.concatenate([one[1][both], two[1][both]])
    return Overlaps(rows[on], rows[by], low, high)


def _nearly_aligned(start: Points, end: Points, least: float) -> tuple[Ints, Ints]:
    """Give the pairs of lines whose boxes meet and whose directions may be the same.

    Raises OverflowError for more than ``_MOST_MEETINGS`` boxes that meet.
    """
    ahead, size = unit(end - start), np.hypot(*(end - start).T)
    found = [np.zeros((0, 2), dtype=np.int64)]
    for one, other in _boxes_that_meet(np.minimum(start, end), np.maximum(start, end)):
        # Most neighbours only meet at a bend: dropped here, they cost no memory.
        worth = np.maximum(size[one], size[other]) > least
        worth &= np.abs(cross(ahead[one], ahead[other])) <= _PER_LENGTH
        found.append(np.stack([one[worth], other[worth]], axis=1))
    pairs = np.concatenate(found)
    return pairs[:, 0], pairs[:, 1]


def _boxes_that_meet(low: Points, high: Points) -> Iterator[tuple[Ints, Ints]]:
    """Give the pairs i < j of boxes that meet, some at a time, in order."""
    if not len(low):
        return
    shapes = np.asarray(shapely.box(*low.T, *high.T))
    tree = shapely.STRtree(shapes)
    looked = 0
    for begin in range(0, len(shapes), _BLOCK):
        one, other = tree.query(shapes[begin : begin + _BLOCK])
        looked += len(one)
        if looked > _MOST_MEETINGS:
            raise OverflowError("too many lines in one place")
        one = one + begin
        ahead = one < other
        one, other = one[ahead], other[ahead]
        order = np.lexsort((other, one))
        yield one[order], other[order]


def _cover(
    start: Points, end: Points, on: Ints, by: Ints, apart: float, least: float
) -> tuple[Floats, Floats, Bools]:
    """Give the stretch of lines ``on`` that lines ``by`` cover, and whether they do."""
    step = end[on] - start[on]
    size = np.hypot(*step.T)
    ahead = unit(step)
    a, b = start[by] - start[on], end[by] - start[on]
    along = np.stack([np.sum(a * ahead, axis=1), np.sum(b * ahead, axis=1)])
    aside = np.stack([cross(ahead, a), cross(ahead, b)])
    low = np.maximum(along.min(axis=0), 0.0)
    high = np.minimum(along.max(axis=0), size)
    run = along[1] - along[0]
    slope = np.divide(aside[1] - aside[0], run, out=np.full_like(run, np.inf), where=run != 0)
    with np.errstate(invalid="ignore"):
        off = np.maximum(
            np.abs(aside[0] + slope * (low - along[0])),
            np.abs(aside[0] + slope * (high - along[0])),
        )
    shared = high - low
    lies = (shared > least) & (off <= np.minimum(apart, shared * _PER_LENGTH))
    return low, high, lies


def _arcs_on_arcs(chain: Chain, rows: Ints, apart: float, least: float) -> Overlaps:
    center, radius, angle, sweep = (part[rows] for part in arc_geometry(chain))
    start, end = chain.starts[rows], chain.ends[rows]
    # An arc of at most half a turn lies in the circle whose diameter is its chord.
    reach = np.hypot(*(end - start).T) / 2 + apart
    middle = (start + end) / 2
    found = [np.zeros((0, 2), dtype=np.int64)]
    for one, other in _boxes_that_meet(middle - reach[:, None], middle + reach[:, None]):
        alike = np.hypot(*(center[one] - center[other]).T) <= apart
        alike &= np.abs(radius[one] - radius[other]) <= apart
        found.append(np.stack([one[alike], other[alike]], axis=1))
    first, second = np.concatenate(found).T
    low_angle = np.where(sweep < 0, angle + sweep, angle)
    span = np.abs(sweep)
    on, by = np.concatenate([first, second]), np.concatenate([second, first])
    ahead = np.mod(low_angle[by] - low_angle[on], 2 * math.pi)
    parts = []
    for turn in (-2 * math.pi, 0.0):
        low = np.maximum(ahead + turn, 0.0)
        high = np.minimum(ahead + turn + span[by], span[on])
        lies = (high - low) * radius[on] > max(least, apart / _PER_LENGTH)
        parts.append((on[lies], by[lies], low[lies], high[lies]))
    on, by, low, high = (np.concatenate(part) for part in zip(*parts, strict=True))
    turned = sweep[on] < 0
    low, high = (
        np.where(turned, span[on] - high, low) * radius[on],
        np.where(turned, span[on] - low, high) * radius[on],
    )
    return Overlaps(rows[on], rows[by], low, high)


def merged_lines(start: Points, end: Points) -> tuple[int, int]:
    """Give which two of 2 m ends are farthest out on m lines that lie on one line.

    Ends count start 0, end 0, start 1, end 1 …; the two are in the direction of the longest line.
    """
    both = np.stack([start, end], axis=1).reshape(-1, 2)
    longest = int(np.argmax(np.hypot(*(end - start).T)))
    along = (both - start[longest]) @ (end[longest] - start[longest])
    return int(along.argmin()), int(along.argmax())


def merged_arcs(low: Floats, span: Floats) -> tuple[float, float]:
    """Give the low angle and the span that arcs on one circle, each overlapping another, make.

    ``low`` and ``span`` (m,) are radians counter-clockwise; a span of 2 π is a whole circle.
    """
    turn = 2 * math.pi
    begin, reach = float(low[0]), float(span[0])
    rest = list(range(1, len(low)))
    while rest and reach < turn:
        for index in rest:
            ahead = math.fmod(float(low[index]) - begin, turn) % turn
            if ahead <= reach:
                reach = max(reach, ahead + float(span[index]))
            elif ahead + span[index] >= turn:
                begin, reach = begin + ahead - turn, max(float(span[index]), reach + turn - ahead)
            else:
                continue
            rest.remove(index)
            break
        else:
            break
    return begin, min(reach, turn)
