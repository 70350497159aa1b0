"""Open curves joined end to end into loops, by where their ends meet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.chain import Chain, without_short_segments
from cutpath.geometry.close_pairs import spread_ranges
from cutpath.geometry.measure import segment_lengths, tangents
from cutpath.geometry.points import Floats, Ints, Points, locked
from cutpath.geometry.strung import Strung, strung, totals
from cutpath.intake.healing.meetings import SAME_PLACE, Meetings, meetings
from cutpath.intake.healing.pairing import End, pair_up
from cutpath.intake.healing.walking import Walk, Walks, parted, walks
from cutpath.model import Curve, Sort


@dataclass(frozen=True, slots=True, eq=False)
class Joined:
    """What became of open curves.

    ``ends`` gives, for each curve still open, where its first and its last point were drawn;
    ``gaps`` (k,) are the sizes, mm, of the gaps that were closed.
    """

    closed: list[Curve]
    open: list[Curve]
    ends: list[tuple[Source, Source]]
    gaps: Floats


def join(curves: Sequence[Curve], tolerance: float) -> Joined:
    """Join open ``curves`` whose ends lie within ``tolerance`` mm of each other.

    Two ends that are joined move to the middle between them, so none by more than half of
    ``tolerance``. Raises InputError when too many ends lie together.
    """
    out = Joined([], [], [], np.zeros(0))
    pending, sources = list(curves), _Sources(curves)
    while pending:
        # Ticks that were kept out of an outline may still meet each other, once it is closed.
        step = _join_once(pending, sources, tolerance)
        out.closed.extend(step.closed)
        out = replace(out, gaps=np.concatenate([out.gaps, step.gaps]))
        if len(step.open) == len(pending):
            return replace(out, open=step.open, ends=step.ends)
        pending, sources = step.open, _Sources(step.open, step.ends)
    return out


@dataclass(frozen=True, slots=True, eq=False)
class _Sources:
    """What was drawn at the ends of curves, some of which have been joined before."""

    curves: Sequence[Curve]
    known: Sequence[tuple[Source, Source]] = ()

    def at(self, end: End) -> Source:
        return self.known[end // 2][end % 2] if self.known else self.curves[end // 2].source


def _join_once(curves: Sequence[Curve], sources: _Sources, tolerance: float) -> Joined:
    soup = strung([curve.chain for curve in curves])
    ends = _ends(soup)
    sizes = segment_lengths(soup.chain)[soup.rows]
    lengths = totals(soup, sizes)
    found = _walked(meetings(ends, lengths, tolerance), soup, lengths, tolerance)
    links = _links(found)
    gaps = np.hypot(*(ends[links[:, 0]] - ends[links[:, 1]]).T)
    target = ends.copy()
    target[links[:, 0]] = target[links[:, 1]] = ends[links].mean(axis=1)
    parts = _Parts.of(soup, target)
    closed = [_one(curves, walk, parts, is_closed=True) for walk in found.loops]
    still_open = [_one(curves, walk, parts, is_closed=False) for walk in found.runs]
    at_ends = [(sources.at(walk[0]), sources.at(walk[-1] ^ 1)) for walk in found.runs]
    return Joined(
        [curve for curve in closed if curve is not None],
        [curve for curve in still_open if curve is not None],
        [pair for pair, curve in zip(at_ends, still_open, strict=True) if curve is not None],
        gaps[gaps > SAME_PLACE],
    )


def _ends(soup: Strung) -> Points:
    """Give the first and the last point of each curve, (2 n, 2)."""
    first = soup.chain.starts[soup.rows[soup.begin]]
    last = soup.chain.ends[soup.rows[soup.end - 1]]
    return np.stack([first, last], axis=1).reshape(-1, 2)


def _walked(meet: Meetings, soup: Strung, lengths: Floats, tolerance: float) -> Walks:
    """Join first what has no choice, then choose for the runs that this leaves."""
    count = 2 * len(lengths)
    choices = np.bincount(meet.first, minlength=count) + np.bincount(meet.second, minlength=count)
    sole = (choices[meet.first] == 1) & (choices[meet.second] == 1)
    partner = np.full(count, -1)
    partner[meet.first[sole]], partner[meet.second[sole]] = meet.second[sole], meet.first[sole]
    plain = walks(partner.tolist())
    if sole.all():
        return plain
    number = {end: 2 * index for index, run in enumerate(plain.runs) for end in (run[0],)}
    for index, run in enumerate(plain.runs):
        number[run[-1] ^ 1] = 2 * index + 1
    near: dict[End, dict[End, float]] = defaultdict(dict)
    rest = ~sole
    for a, b, gap in zip(
        meet.first[rest].tolist(), meet.second[rest].tolist(), meet.gap[rest].tolist(), strict=True
    ):
        near[number[a]][number[b]] = gap
        near[number[b]][number[a]] = gap
    outer = np.array([end for run in plain.runs for end in (run[0], run[-1] ^ 1)], dtype=int)
    leaving = _leaving(soup, outer)
    sizes = [float(lengths[np.array(run) // 2].sum()) for run in plain.runs]
    chosen = parted(walks(pair_up(dict(near), sizes, leaving, tolerance)), near)
    return Walks(
        [*plain.loops, *(_spelled(walk, plain.runs) for walk in chosen.loops)],
        [_spelled(walk, plain.runs) for walk in chosen.runs],
    )


def _leaving(soup: Strung, ends: Ints) -> Points:
    """Give the unit directions in which curves leave their ``ends``, (k, 2)."""
    curve, is_last = ends // 2, ends % 2 == 1
    row = soup.rows[np.where(is_last, soup.end[curve] - 1, soup.begin[curve])]
    along = tangents(soup.chain, row, is_last.astype(np.float64))
    return np.where(is_last[:, None], -along, along)


def _spelled(walk: Walk, runs: Sequence[Walk]) -> Walk:
    """Give a walk over runs as the walk over their curves."""
    out: Walk = []
    for end in walk:
        run = runs[end // 2]
        out += [entry ^ 1 for entry in reversed(run)] if end % 2 else run
    return out


def _links(found: Walks) -> Ints:
    """Give all pairs of ends that the walks join, (k, 2)."""
    pairs = []
    for walk in (*found.loops, *found.runs):
        entry = np.array(walk, dtype=np.int64)
        pairs.append(np.stack([entry[:-1] ^ 1, entry[1:]], axis=1))
    pairs += [np.array([[walk[-1] ^ 1, walk[0]]], dtype=np.int64) for walk in found.loops]
    return np.concatenate(pairs)


@dataclass(frozen=True, slots=True, eq=False)
class _Parts:
    """All segments with the curves' ends moved to where they are joined."""

    start: Points
    end: Points
    bulge: Floats
    handles: Floats
    begin: Ints
    finish: Ints

    @classmethod
    def of(cls, soup: Strung, target: Points) -> _Parts:
        start, end = soup.chain.starts[soup.rows], soup.chain.ends[soup.rows]
        handles = soup.chain.handles[soup.rows]
        first, last = soup.begin, soup.end - 1
        # A handle beside a moved end moves along, which keeps the tangent there.
        handles[first, 0] += target[::2] - start[first]
        handles[last, 1] += target[1::2] - end[last]
        start[first], end[last] = target[::2], target[1::2]
        return cls(start, end, soup.chain.bulges[soup.rows], handles, first, soup.end)

    def chain(self, walk: Walk, *, is_closed: bool) -> Chain:
        entry = np.array(walk, dtype=np.int64)
        begin, finish = self.begin[entry // 2], self.finish[entry // 2]
        row = spread_ranges(begin, finish - begin)
        back = np.repeat(entry % 2 == 1, finish - begin)
        row = np.where(back, np.repeat(begin + finish - 1, finish - begin) - row, row)
        points = np.where(back[:, None], self.end[row], self.start[row])
        if not is_closed:
            last = self.start[row[-1:]] if back[-1] else self.end[row[-1:]]
            points = np.concatenate([points, last])
        bulges = np.where(back, -self.bulge[row], self.bulge[row])
        handles = np.where(back[:, None, None], self.handles[row][:, ::-1], self.handles[row])
        return Chain(locked(points), locked(bulges), locked(handles), is_closed)


def _one(curves: Sequence[Curve], walk: Walk, parts: _Parts, *, is_closed: bool) -> Curve | None:
    """Give the curve that a walk makes; None when it has no length left."""
    members = [curves[entry // 2] for entry in walk]
    if len(walk) == 1 and not is_closed:
        return members[0]
    chain = without_short_segments(parts.chain(walk, is_closed=is_closed), SAME_PLACE)
    if chain is None:
        return None
    lead = min(range(len(walk)), key=lambda at: (members[at].sort is Sort.UNSAID, walk[at]))
    first = members[lead]
    more = "" if len(walk) == 1 else f" and {len(walk) - 1} more"
    return replace(
        first, chain=chain, source=replace(first.source, entity=first.source.entity + more)
    )
