"""Many orders of filling, the best of them kept: quick, and the same every time."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from cutpath.laid import Place, Stock
from cutpath.lay.filling import RULES, Filled, How, NoFits, Rule, Spot, fill
from cutpath.lay.shapes import Shape

_USUAL, _PER_PIECE = 20, 40
_CLOSE = 0.05
"""No lay is shorter than its longest piece; so near to it, mm, the search ends."""
_MANY, _BATCH = 120, 60
"""More pieces than the first are laid in batches of at most the second."""


@dataclass(frozen=True, slots=True)
class Score:
    """How good a filled lay is; less is better in every part, the first that differs decides."""

    unlaid: int
    bought: float
    used: float
    spread: float

    @property
    def key(self) -> tuple[int, float, float, float]:
        """Give what is compared; a hundredth of a millimetre of cloth makes no difference."""
        return self.unlaid, round(self.bought, 2), round(self.used, 2), self.spread


def score(filled: Filled, shapes: Sequence[Shape], stocks: Sequence[Stock]) -> Score:
    """Give the score: pieces without a place, cloth to buy, to use up, how far pieces lie out."""
    bought = sum(
        end for end, stock in zip(filled.ends, stocks, strict=True) if stock.length is None
    )
    spread = 0.0
    for index, place in filled.places.items():
        if place is not None:
            pose = next(pose for pose in shapes[index].poses if pose.turn == place.turn)
            far = place.x + pose.length / 2 + 1e5 * place.stock
            spread += shapes[index].area * far
    return Score(filled.unlaid, bought, sum(filled.ends) - bought, spread)


@dataclass(slots=True)
class Search:
    """A search over orders and rules. ``best`` is the best lay so far."""

    shapes: Sequence[Shape]
    stocks: Sequence[Stock]
    repeat: float | None
    no_fits: NoFits
    best: Filled | None = None
    best_order: tuple[int, ...] = ()
    best_rule: Rule = RULES[0]
    best_score: Score | None = None
    placements: int = 0
    """Pieces for which a place was looked for, in all: the effort so far."""

    def try_order(self, order: Sequence[int], rule: Rule) -> bool:
        """Fill in one order; tell whether that is the best lay so far."""
        known = self._known(order, rule)
        filled = fill(
            self.shapes,
            order,
            self.stocks,
            self.no_fits,
            How(rule, self.repeat, _breaks(len(self.shapes))),
            known,
        )
        self.placements += len(order) - len(known)
        found = score(filled, self.shapes, self.stocks)
        if self.best_score is not None and found.key >= self.best_score.key:
            return False
        self.best, self.best_score = filled, found
        self.best_order, self.best_rule = tuple(order), rule
        return True

    def _known(self, order: Sequence[int], rule: Rule) -> Sequence[Spot | None]:
        """Give the spots of the best lay for as long as ``order`` begins as it does."""
        if self.best is None or rule != self.best_rule:
            return ()
        same = itertools.takewhile(
            lambda pair: pair[0] == pair[1], zip(order, self.best_order, strict=True)
        )
        return self.best.spots[: sum(1 for _ in same)]

    @property
    def bought(self) -> float:
        """Give the cloth to buy for the best lay so far, mm."""
        return self.best_score.bought if self.best_score else 0.0

    def places(self) -> list[Place | None]:
        """Give the best lay so far, a place for each shape."""
        assert self.best is not None
        return [self.best.places[number] for number in range(len(self.shapes))]

    def steps(self, seed: int = 0) -> Iterator[bool]:
        """Try one order after another, without end; yield whether it was better.

        First, unless some were tried before, the plain ones: largest pieces first by several
        measures. Then the best one changed at random, from a seed, so that the same effort finds
        the same lay.
        """
        for order in plain_orders(self.shapes) if self.best is None else []:
            for rule in RULES:
                yield self.try_order(order, rule)
        chance = random.Random(seed)
        while True:
            rule = self.best_rule if chance.random() < 0.7 else chance.choice(RULES)
            yield self.try_order(_changed(self.best_order, chance), rule)


def plain_orders(shapes: Sequence[Shape]) -> list[tuple[int, ...]]:
    """Give orders worth trying first, without repetitions."""
    first = [shape.poses[0] for shape in shapes]
    measures: list[Callable[[int], float]] = [
        lambda i: -shapes[i].area,
        lambda i: -first[i].length,
        lambda i: -first[i].width,
        lambda i: -max(first[i].length, first[i].width),
        lambda i: -(first[i].length + first[i].width),
        lambda i: -first[i].length * first[i].width,
    ]
    numbers = range(len(shapes))
    orders = [tuple(sorted(numbers, key=lambda i: (measure(i), i))) for measure in measures]
    if len(shapes) > _MANY:
        orders = [_dealt(order) for order in orders]
    return list(dict.fromkeys(orders))


def _dealt(order: tuple[int, ...]) -> tuple[int, ...]:
    """Deal an order into batches, so that each has large pieces and small ones, large first."""
    hands = -(-len(order) // _BATCH)
    batches = [order[hand::hands] for hand in range(hands)]
    return tuple(number for batch in batches for number in batch)


def _breaks(count: int) -> frozenset[int]:
    """Give where batches begin in an order of ``count`` pieces, but for the first."""
    if count <= _MANY:
        return frozenset()
    hands = -(-count // _BATCH)
    sizes = [len(range(hand, count, hands)) for hand in range(hands)]
    return frozenset(sum(sizes[:hand]) for hand in range(1, hands))


def _changed(order: tuple[int, ...], chance: random.Random) -> tuple[int, ...]:
    """Give the order with one to three pieces moved or swapped."""
    new = list(order)
    for _ in range(chance.choice((1, 1, 2, 3))):
        one, other = chance.randrange(len(new)), chance.randrange(len(new))
        if chance.random() < 0.5:
            new[one], new[other] = new[other], new[one]
        else:
            new.insert(other, new.pop(one))
    return tuple(new)


def is_shortest(search: Search) -> bool:
    """Tell whether no lay can be shorter: the new roll alone, as long as its longest piece."""
    whole = search.best is not None and not search.best.unlaid and len(search.stocks) == 1
    least = max((min(p.length for p in shape.poses) for shape in search.shapes), default=0.0)
    return whole and search.bought <= least + _CLOSE


def quick_search(search: Search, placements: int) -> None:
    """Try orders for as long as ``placements`` of twenty pieces take, or none can be better.

    The more pieces, the longer each takes; few pieces have few orders.
    """
    count = max(len(search.shapes), 1)
    tries = max(min(_USUAL * placements // count**2, _PER_PIECE * count), 1)
    for _ in search.steps():
        if search.placements >= tries * count or is_shortest(search):
            break
