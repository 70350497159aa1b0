"""Many short segments to few arcs and lines, with common tangents where they meet.

Joints of the result are joints of the chain that is fitted, or lie between the two arcs of a biarc
(Bolton, "Biarc curves", Computer-Aided Design 7, 1975). From each joint the longest single arc and
the longest biarc that stay within the tolerance are sought, and the one that reaches farther for
each arc is taken: the least number of pieces where a shorter run is within the tolerance whenever
a longer one is, and near it else. All spans are worked through abreast, long ones in blocks, so
the effort grows with the number of segments.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.fit_candidates import Maker, Pieces, biarcs, lines, single_arcs
from cutpath.geometry.fit_spans import Spans, spans_of
from cutpath.geometry.points import Bools, Floats, Ints, Points


def fit_arcs(chains: Sequence[Chain], tolerance: float, *, arcs: bool = True) -> list[Chain]:
    """Give each chain with fewer segments, straying at most ``tolerance`` mm, both ways.

    Corners, ends and a closed chain's start stay where they are. Pieces that were fitted meet with
    common tangents; a joint between segments that fit into nothing longer keeps its turn. Without
    ``arcs``, runs of lines become fewer lines and arcs stay as they are. Raises ValueError for
    cubics or a tolerance that is not positive.
    """
    if tolerance <= 0:
        raise ValueError("the tolerance must be more than 0")
    if any(chain.is_cubic.any() for chain in chains):
        raise ValueError("arcs are fitted to lines and arcs; turn cubics into arcs before")
    if not chains:
        return []
    fit = _Fit(spans_of(chains), tolerance)
    fit.run((single_arcs, biarcs) if arcs else (lines,))
    return fit.chains(chains)


class _Fit:
    """Fronts that advance from the start of every span to its end, and what they left behind."""

    def __init__(self, spans: Spans, tolerance: float) -> None:
        self.spans = spans
        self.tolerance = tolerance
        self.joints: list[Ints] = []
        self.points: list[Points] = []
        self.bulges: list[Floats] = []

    def run(self, makers: Sequence[Maker]) -> None:
        """Advance every front by one piece at a time, the best of what ``makers`` offer."""
        at, end = self.spans.first, self.spans.last
        along = self.spans.tangents[at]
        while len(at):
            best: tuple[Ints, Pieces] | None = None
            for maker in makers:
                found = self._farthest(maker, at, end, along)
                best = found if best is None else self._better(at, best, found)
            assert best is not None
            reach, pieces = best
            self._keep(at, reach, pieces)
            fitted = reach > at + 1
            along = np.where(fitted[:, None], pieces.leaving, self.spans.tangents[reach])
            going = reach < end
            at, end, along = reach[going], end[going], along[going]

    def _farthest(self, maker: Maker, at: Ints, end: Ints, along: Points) -> tuple[Ints, Pieces]:
        """Find how far one piece from ``at`` can reach: doubling the run, then halving the gap."""
        reach, beyond = at + 1, end + 1
        is_growing = np.ones(len(at), dtype=np.bool_)
        while True:
            busy = np.flatnonzero(beyond - reach > 1)
            if not len(busy):
                break
            low, high = reach[busy], beyond[busy]
            doubled = np.minimum(at[busy] + 2 * (low - at[busy]), high - 1)
            probe = np.where(is_growing[busy], doubled, (low + high) // 2)
            good = maker(self.spans, at[busy], probe, along[busy], self.tolerance).good
            reach[busy] = np.where(good, probe, low)
            beyond[busy] = np.where(good, high, probe)
            is_growing[busy] &= good
        return reach, maker(self.spans, at, reach, along, self.tolerance)

    def _better(
        self, at: Ints, one: tuple[Ints, Pieces], two: tuple[Ints, Pieces]
    ) -> tuple[Ints, Pieces]:
        """Choose between a single arc and a biarc by the way each arc covers."""
        way = self.spans.stations
        is_two = way[two[0]] - way[at] > 2 * (way[one[0]] - way[at])
        return np.where(is_two, two[0], one[0]), _chosen(is_two, two[1], one[1])

    def _keep(self, at: Ints, reach: Ints, pieces: Pieces) -> None:
        fitted = reach > at + 1
        own = self.spans.bulges[self.spans.segment[at]]
        self.joints.append(at)
        self.points.append(self.spans.points[at])
        self.bulges.append(np.where(fitted, pieces.bulges[:, 0], own))
        second = fitted & ~np.isnan(pieces.bulges[:, 1])
        self.joints.append(at[second])
        self.points.append(pieces.middle[second])
        self.bulges.append(pieces.bulges[second, 1])

    def chains(self, originals: Sequence[Chain]) -> list[Chain]:
        """Put the pieces together again, chain by chain."""
        joints = np.concatenate(self.joints)
        # A stable sort keeps a biarc's second arc behind its first.
        order = np.argsort(joints, kind="stable")
        joints = joints[order]
        points, bulges = np.concatenate(self.points)[order], np.concatenate(self.bulges)[order]
        segments = self.spans.segment[joints]
        bounds = np.append(np.searchsorted(segments, self.spans.chain_first), len(segments))
        made = []
        for chain, low, high in zip(originals, bounds[:-1], bounds[1:], strict=True):
            corners = points[low:high]
            if not chain.closed:
                corners = np.concatenate([corners, chain.points[-1:]])
            if chain.closed and high - low < 2:
                made.append(chain)
            else:
                made.append(make_chain(corners, bulges[low:high], closed=chain.closed))
        return made


def _chosen(is_first: Bools, first: Pieces, second: Pieces) -> Pieces:
    pick = is_first[:, None]
    return Pieces(
        np.where(pick, first.middle, second.middle),
        np.where(pick, first.bulges, second.bulges),
        np.where(pick, first.leaving, second.leaving),
        np.where(is_first, first.good, second.good),
    )
