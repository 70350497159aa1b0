"""How likely two edges are one seam: all evidence about a pair put together, with its reasons."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutpath.model import EdgeName, Panel
from cutpath.walk.candidates import likely_pairs
from cutpath.walk.evidence import (
    NOTHING,
    Evidence,
    ends_evidence,
    is_curved,
    length_evidence,
    marks_evidence,
    shape_evidence,
)
from cutpath.walk.kinds import kinds_of
from cutpath.walk.name_evidence import name_book, name_evidence
from cutpath.walk.sides import Side, side_of, turned_round
from cutpath.walk.twins import Twin, Twins, twin_reach

_SAME_WAY, _FACE_DOWN = -3.0, "one of them traced face down"
"""One panel traced face down is rare."""
_SAME_PANEL, _DART = -9.0, 1.0
"""A tube is rare; two neighbours of one length about a narrow notch are hardly else than a dart."""
_NOTCH = math.radians(300.0)
_TWINS = {Twin.COPY: -1.2, Twin.MIRROR: -1.2, Twin.GORE: -0.5}
"""Like edges of twins agree anyway, so this stands for all that their agreement would tell.

Left and right are seldom sewn to each other, yet two halves have a centre seam.
"""
_ANOTHER_AS_LONG = -1.0
"""For each panel with a second edge of this length: a rectangle agrees with another one twice."""
_AS_LONG = 0.003
_MOST_PRIOR = math.log(0.6)
_LEAST_PRIOR = -5.0
"""However many edges a drawing has, only so many are the neighbours of one."""
_RARE_NAME = 6
"""A mark name on more edges than this brings none of them together by itself."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """A pair of edges weighed: ``weight`` in nats, above 0 where a seam is likelier than none.

    ``reverse`` as in ``Seam``; ``reasons`` have the strongest first, what counts against last.
    """

    first: EdgeName
    second: EdgeName
    weight: float
    reverse: bool
    reasons: tuple[str, ...]


class Weigher:
    """Weighs pairs of edges by the standard of the drawing as a whole.

    ``sides`` are all its edges, in order. Panels without corners are left out: nothing tells where
    a seam on them would begin.
    """

    def __init__(self, panels: Sequence[Panel], sides: Mapping[EdgeName, Side]) -> None:
        rims = {panel.name for panel in panels if len(panel.edges) == 1}
        self._sides = {name: side for name, side in sides.items() if name.panel not in rims}
        self._turned = {name: turned_round(side) for name, side in self._sides.items()}
        self._twins = Twins(
            [panel for panel in panels if panel.name not in rims], self._sides, self._turned
        )
        self._curved = {name for name, side in self._sides.items() if is_curved(side)}
        self._doubles = _doubles(panels, self._sides)
        self._book = name_book(panels)
        count = len(self._sides)
        marked = sum(bool(side.marks) for side in self._sides.values())
        self._marked_share = marked / max(count, 1)
        self._prior = max(_MOST_PRIOR - math.log(max(count - 1, 1)), _LEAST_PRIOR)

    def likenesses(self) -> list[Likeness]:
        """Weigh every pair of edges that is worth it, in order."""
        names = list(self._sides)
        number = {name: index for index, name in enumerate(names)}
        pairs = set(likely_pairs(list(self._sides.values())))
        for first, second in (*self._book.sharing(_RARE_NAME), *self._book.speaking()):
            if first in number and second in number:
                i, j = sorted((number[first], number[second]))
                pairs.add((i, j))
        return [self.likeness(names[i], names[j]) for i, j in sorted(pairs)]

    def kinds(self) -> dict[EdgeName, int]:
        """Give each edge a number, the same for those that can stand for each other.

        They are the same edge of panels of one pattern, their marks called alike.
        """
        return kinds_of(self._sides, twin_reach, self._is_same)

    def _is_same(self, one: EdgeName, other: EdgeName) -> bool:
        same_names = self._book.marks[one] == self._book.marks[other]
        return same_names and self._twins.are_copies(one, other)

    def likeness(self, first: EdgeName, second: EdgeName) -> Likeness:
        """Weigh a pair both ways round and keep the likelier."""
        ways = {True: self._way(first, second, reverse=True)}
        ways[False] = [*self._way(first, second, reverse=False), Evidence(_SAME_WAY, _FACE_DOWN)]
        reverse = max(ways, key=lambda way: sum(each.weight for each in ways[way]))
        measured = [length_evidence(self._sides[first], self._sides[second]), *ways[reverse]]
        named = name_evidence(first, second, self._book)
        twin = self._twins.between(first, second)
        if twin is None:
            told = [Evidence(self._prior), *measured, *named, self._doubled(first, second)]
        else:
            silent = [replace(each, weight=min(each.weight, 0.0)) for each in measured[:2]]
            told = [Evidence(_TWINS[twin], twin.value), *silent, *named]
        if first.panel == second.panel:
            told.append(self._one_panel(first, second))
        weight = sum(each.weight for each in told)
        return Likeness(first, second, weight, reverse, _reasons(told))

    def _doubled(self, first: EdgeName, second: EdgeName) -> Evidence:
        return Evidence(_ANOTHER_AS_LONG * len(self._doubles & {first, second}))

    def _one_panel(self, first: EdgeName, second: EdgeName) -> Evidence:
        side = self._sides[first]
        for neighbour, angle in zip(side.neighbours, side.angles, strict=True):
            if neighbour == second and angle > _NOTCH:
                return Evidence(_DART, "both are edges of one panel, about a dart")
        return Evidence(_SAME_PANEL, "both are edges of one panel")

    def _way(self, first: EdgeName, second: EdgeName, *, reverse: bool) -> list[Evidence]:
        one, other = self._sides[first], (self._turned if reverse else self._sides)[second]
        return [
            marks_evidence(one, other, marked_share=self._marked_share),
            ends_evidence(one, other),
            shape_evidence(one, other, mirrored=not reverse)
            if {first, second} <= self._curved
            else NOTHING,
        ]


def _doubles(panels: Sequence[Panel], sides: Mapping[EdgeName, Side]) -> frozenset[EdgeName]:
    """Give the edges that another edge of their own panel equals in length."""
    out = set()
    for panel in panels:
        names = [EdgeName(panel.name, edge.name) for edge in panel.edges]
        own = [(name, sides[name].length) for name in names if name in sides]
        for name, long in own:
            near = sum(abs(other - long) <= _AS_LONG * long for _, other in own)
            if near > 1:
                out.add(name)
    return frozenset(out)


def _reasons(told: Sequence[Evidence]) -> tuple[str, ...]:
    worth = sorted((each for each in told if each.words), key=lambda each: -each.weight)
    return tuple(each.words for each in worth)


def edge_sides(panels: Sequence[Panel]) -> dict[EdgeName, Side]:
    """Measure every edge of ``panels``, in order."""
    names = [(panel, EdgeName(panel.name, edge.name)) for panel in panels for edge in panel.edges]
    return {name: side_of(panel, name) for panel, name in names}
