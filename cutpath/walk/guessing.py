"""Which edges are sewn to which: the likeliest whole answer, and how sure each part of it is.

An edge joins at most one other, so that seams are a matching of all edges; the likeliest is the one
of greatest weight (Edmonds, Maximum matching and a polyhedron with 0,1-vertices, J. Res. NBS 69B,
1965). Leaving an edge free weighs nothing, and a pair that is less likely than that is not joined.
Edges left free are matched once more among themselves, for pairs worth a question.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass

from cutpath.model import EdgeName, Panel
from cutpath.walk.likeness import Likeness, Weigher, edge_sides
from cutpath.walk.measuring import kinks_of
from cutpath.walk.sides import Side, turned_round

_GRAIN, _NEAR = 1000, 64
"""Weights are matched as whole thousandths of a nat, so that ties are exact; among equals the edges
of panels drawn near each other win, by parts of a thousandth."""
_MOST_SURE = 0.99
_AS_LIKE = 0.7
"""A rival answer within a factor of two is told as equally like."""
_QUESTION = -1.5
"""Less likely pairs than this are not worth asking about."""
_LEAST = 0.15
"""A guess among so many that fit as well is not even a question."""
_LIKELY = 0.45
"""Both ways of a tie of two are still worth writing down; of three they are not."""


_Kinds = tuple[tuple[int, int], ...]
"""Pairs of edges by kind, sorted."""


@dataclass(frozen=True, slots=True)
class SeamGuess:
    """Two edges that are likely one seam, why, and how sure that is.

    ``certainty`` is the share, 0 to 1, that this pair has among all answers that differ from the
    best by it alone or by one exchange of partners. ``rivals`` are edges that fit one of the two
    as well. ``copies`` fit too and make no difference: they are the same edge of panels of one
    pattern. ``kink`` is the largest turn, radians, of the outline across its ends where it runs on.
    """

    first: EdgeName
    second: EdgeName
    reverse: bool
    reasons: tuple[str, ...]
    certainty: float
    rivals: tuple[EdgeName, ...]
    copies: tuple[EdgeName, ...]
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
    answer = _Answer(Weigher(panels, sides), list(sides))
    sewn = {name for each in answer.chosen for name in (each.first, each.second)}
    guesses = (_guess(each, answer, sides, sewn) for each in answer.chosen)
    return tuple(guess for guess in guesses if guess.certainty >= _LEAST)


def _guess(
    chosen: Likeness, answer: _Answer, sides: Mapping[EdgeName, Side], sewn: set[EdgeName]
) -> SeamGuess:
    certainty, rivals, copies = answer.certainty(chosen)
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
        copies, max(kinks, default=0.0),
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
        # A copy, as the view that subgraph gives is slow to walk.
        for i, j in nx.max_weight_matching(graph.subgraph(part).copy()):
            pairs.append((min(i, j), max(i, j)))
    return sorted(pairs)


class _Answer:
    """The best matching, and what else could have been."""

    def __init__(self, weigher: Weigher, names: Sequence[EdgeName]) -> None:
        order = {name: number for number, name in enumerate(names)}
        self._names, self._number = names, order
        kinds = weigher.kinds()
        # Panels without corners have no kind: they are in no pair.
        self._kinds = {order[name]: kind for name, kind in kinds.items()}
        self._by_pair = {
            (order[each.first], order[each.second]): each for each in weigher.likenesses()
        }
        self._near: dict[int, dict[int, float]] = defaultdict(dict)
        self._by_kind: dict[_Kinds, float] = {}
        for (i, j), each in self._by_pair.items():
            if each.weight > _QUESTION:
                self._near[i][j] = self._near[j][i] = each.weight
                kind = self._as_kinds([(i, j)])
                self._by_kind[kind] = max(each.weight, self._by_kind.get(kind, -math.inf))
        sure = best_matching(self._weights(0.0, frozenset()))
        taken = frozenset(edge for pair in sure for edge in pair)
        pairs = sorted([*sure, *best_matching(self._weights(_QUESTION, taken))])
        self._mate = {i: j for pair in pairs for i, j in (pair, pair[::-1])}
        self.chosen = [self._by_pair[pair] for pair in pairs]

    def _weights(self, least: float, taken: Set[int]) -> dict[tuple[int, int], int]:
        """Give what pairs of edges not ``taken`` weigh above ``least``, in whole grains."""
        return {
            pair: (round((each.weight - least) * _GRAIN) + 1) * 2 * _NEAR
            + _NEAR // (pair[1] - pair[0])
            for pair, each in self._by_pair.items()
            if each.weight > least and not taken & set(pair)
        }

    def certainty(
        self, chosen: Likeness
    ) -> tuple[float, tuple[EdgeName, ...], tuple[EdgeName, ...]]:
        """Give the share of a chosen pair, the edges that fit as well, and mere copies."""
        i, j = self._number[chosen.first], self._number[chosen.second]
        losses: dict[_Kinds, float] = {(): chosen.weight}
        rivals: dict[int, float] = {}
        copies: set[int] = set()
        for one, other in ((i, j), (j, i)):
            for rival in self._near[one].keys() - {other}:
                before, made, loss = self._exchange(one, other, rival)
                if made == before:
                    copies.add(rival)
                    continue
                losses[made] = loss
                rivals[rival] = min(loss, rivals.get(rival, math.inf))
        share = 1 / (1 + sum(math.exp(-loss) for loss in losses.values()))
        equal = [rival for rival, loss in rivals.items() if loss < _AS_LIKE]
        return min(share, _MOST_SURE), self._named(equal), self._named(copies)

    def _named(self, numbers: Iterable[int]) -> tuple[EdgeName, ...]:
        return tuple(self._names[number] for number in sorted(numbers))

    def _exchange(self, one: int, other: int, rival: int) -> tuple[_Kinds, _Kinds, float]:
        """Let ``rival`` take the place of ``other``, and the partner it leaves take ``other``.

        Gives the kinds of edges that were joined before and after, and what is lost by it.
        """
        before, after = [(one, other)], [(one, rival)]
        loss = self._near[one][other] - self._near[one][rival]
        left = self._mate.get(rival)
        if left is not None:
            before.append((rival, left))
            lost, again = self._near[rival][left], self._weight(other, left)
            # A doubtful pair is not made for the sake of the exchange, unless one is given up.
            if again > 0 or (lost <= 0 and math.isfinite(again)):
                after.append((other, left))
                lost -= again
            loss += lost
        return self._as_kinds(before), self._as_kinds(after), loss

    def _weight(self, one: int, other: int) -> float:
        """Give what a pair weighs; one never looked at weighs as another of these kinds."""
        kind = self._as_kinds([(one, other)])
        return self._near[one].get(other, self._by_kind.get(kind, -math.inf))

    def _as_kinds(self, pairs: Iterable[tuple[int, int]]) -> _Kinds:
        found = [sorted((self._kinds[i], self._kinds[j])) for i, j in pairs]
        return tuple(sorted((low, high) for low, high in found))
