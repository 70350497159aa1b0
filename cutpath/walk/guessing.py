"""Which edges are sewn to which: the likeliest whole answer, and how sure each part of it is.

An edge joins at most one other, so that seams are a matching of all edges; the likeliest is the one
of greatest weight (Edmonds, Maximum matching and a polyhedron with 0,1-vertices, J. Res. NBS 69B,
1965). Leaving an edge free weighs nothing, and a pair that is less likely than that is not joined.
Edges left free are matched once more among themselves, for pairs worth a question.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

from cutpath.model import EdgeName, Panel
from cutpath.walk.likeness import Likeness, edge_sides, likenesses
from cutpath.walk.measuring import kinks_of
from cutpath.walk.sides import Side, turned_round

_GRAIN = 1000
"""Weights are matched as whole thousandths of a nat, so that ties are exact."""
_MOST_SURE = 0.99
_AS_LIKE = 0.7
"""A rival answer within a factor of two is told as equally like."""
_QUESTION = -1.5
"""Less likely pairs than this are not worth asking about."""
_LIKELY = 0.45
"""Both ways of a tie of two are still worth writing down; of three they are not."""


@dataclass(frozen=True, slots=True)
class SeamGuess:
    """Two edges that are likely one seam, why, and how sure that is.

    ``certainty`` is the share, 0 to 1, that this pair has among all answers that differ from the
    best by it alone or by one exchange of partners. ``rivals`` are edges that fit one of the two
    as well. ``kink`` is the largest turn, radians, of the outline across its ends where it runs
    on.
    """

    first: EdgeName
    second: EdgeName
    reverse: bool
    reasons: tuple[str, ...]
    certainty: float
    rivals: tuple[EdgeName, ...]
    kink: float

    @property
    def is_likely(self) -> bool:
        """Whether the guess is worth writing down as a seam, not as a question."""
        return self.certainty >= _LIKELY


def guess_seams(panels: Sequence[Panel]) -> tuple[SeamGuess, ...]:
    """Guess the seams of ``panels`` from lengths, marks, ends, shapes and names.

    In the order of the first edges. Raises InputError for an edge without length.
    """
    sides = edge_sides(panels)
    alike = likenesses(panels, sides)
    order = {name: number for number, name in enumerate(sides)}
    answer = _Answer(alike, order)
    sewn = {name for each in answer.chosen for name in (each.first, each.second)}
    return tuple(_guess(each, answer, sides, sewn) for each in answer.chosen)


def _guess(
    chosen: Likeness, answer: _Answer, sides: Mapping[EdgeName, Side], sewn: set[EdgeName]
) -> SeamGuess:
    certainty, rivals = answer.certainty(chosen)
    one, other = sides[chosen.first], sides[chosen.second]
    if chosen.reverse:
        other = turned_round(other)
    kinks = [
        kink
        for end, kink in enumerate(kinks_of(one, other))
        if not sewn & {one.neighbours[end], other.neighbours[end]}
    ]
    return SeamGuess(
        chosen.first, chosen.second, chosen.reverse, chosen.reasons, certainty, rivals,
        max(kinks, default=0.0),
    )  # fmt: skip


def best_matching(weights: Mapping[tuple[int, int], int]) -> list[tuple[int, int]]:
    """Give the pairs (i < j), sorted, that share no number and whose weights sum to most.

    ``weights`` are positive. Solved apart in each connected part.
    """
    import networkx as nx  # noqa: PLC0415 (slow to load, so only where it is used)

    graph = nx.Graph()
    graph.add_weighted_edges_from((i, j, weight) for (i, j), weight in sorted(weights.items()))
    pairs = []
    for part in nx.connected_components(graph):
        for i, j in nx.max_weight_matching(graph.subgraph(sorted(part))):
            pairs.append((min(i, j), max(i, j)))
    return sorted(pairs)


class _Answer:
    """The best matching, and what else could have been."""

    def __init__(self, alike: Sequence[Likeness], order: Mapping[EdgeName, int]) -> None:
        self._names = list(order)
        self._by_pair = {(order[each.first], order[each.second]): each for each in alike}
        self._near: dict[int, dict[int, float]] = defaultdict(dict)
        for (i, j), each in self._by_pair.items():
            if each.weight > _QUESTION:
                self._near[i][j] = self._near[j][i] = each.weight
        sure = best_matching(self._weights(0.0, frozenset()))
        taken = frozenset(edge for pair in sure for edge in pair)
        pairs = sorted([*sure, *best_matching(self._weights(_QUESTION, taken))])
        self._mate = {i: j for pair in pairs for i, j in (pair, pair[::-1])}
        self._number = order
        self.chosen = [self._by_pair[pair] for pair in pairs]

    def _weights(self, least: float, taken: Set[int]) -> dict[tuple[int, int], int]:
        """Give what pairs of edges not ``taken`` weigh above ``least``, in whole grains."""
        return {
            pair: max(round((each.weight - least) * _GRAIN), 1)
            for pair, each in self._by_pair.items()
            if each.weight > least and not taken & set(pair)
        }

    def certainty(self, chosen: Likeness) -> tuple[float, tuple[EdgeName, ...]]:
        """Give the share of a chosen pair, and the edges that fit as well."""
        i, j = self._number[chosen.first], self._number[chosen.second]
        losses = {frozenset[tuple[int, int]](): chosen.weight}
        rivals: dict[int, float] = {}
        for one, other in ((i, j), (j, i)):
            for rival, made, loss in self._exchanges(one, other):
                losses[made] = loss
                rivals[rival] = min(loss, rivals.get(rival, math.inf))
        share = 1 / (1 + sum(math.exp(-loss) for loss in losses.values()))
        equal = sorted(rival for rival, loss in rivals.items() if loss < _AS_LIKE)
        return min(share, _MOST_SURE), tuple(self._names[rival] for rival in equal)

    def _exchanges(
        self, one: int, other: int
    ) -> Iterator[tuple[int, frozenset[tuple[int, int]], float]]:
        """Give each rival of ``other`` for ``one``: the pairs it would make, and the loss."""
        whole = self._near[one][other]
        for rival, weight in self._near[one].items():
            if rival == other:
                continue
            left = self._mate.get(rival)
            made = {(min(one, rival), max(one, rival))}
            loss = whole - weight
            if left is not None:
                loss += self._near[rival][left]
                again = max(self._near[other].get(left, 0.0), 0.0)
                loss -= again
                if again:
                    made.add((min(other, left), max(other, left)))
            yield rival, frozenset(made), loss
