"""How likely two edges are one seam: all evidence about a pair put together, with its reasons."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutpath.model import EdgeName, Panel
from cutpath.walk.candidates import likely_pairs
from cutpath.walk.evidence import (
    Evidence,
    ends_evidence,
    length_evidence,
    marks_evidence,
    shape_evidence,
)
from cutpath.walk.name_evidence import NameBook, name_book, name_evidence
from cutpath.walk.sides import Side, side_of, turned_round
from cutpath.walk.twins import Twin, Twins

_SAME_WAY = -3.0
"""One panel traced face down is rare."""
_SAME_PANEL, _DART = -9.0, -3.0
"""A tube is rare; a dart, two neighbours about a reflex corner, is not so."""
_TWINS = {Twin.COPY: -1.2, Twin.MIRROR: -1.2, Twin.GORE: -0.5}
"""Like edges of twins agree anyway, so this stands for all that their agreement would tell.

Left and right are seldom sewn to each other, yet two halves have a centre seam.
"""
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


@dataclass(frozen=True, slots=True, eq=False)
class _Weigher:
    """All that is known of the drawing as a whole when one pair is weighed."""

    sides: Mapping[EdgeName, Side]
    turned: Mapping[EdgeName, Side]
    book: NameBook
    twins: Twins
    marked_share: float
    prior: float

    def likeness(self, first: EdgeName, second: EdgeName) -> Likeness:
        """Weigh a pair both ways round and keep the likelier."""
        ways = {True: self._way(first, second, reverse=True)}
        ways[False] = [*self._way(first, second, reverse=False), Evidence(_SAME_WAY, _FACE_DOWN)]
        reverse = max(ways, key=lambda way: sum(each.weight for each in ways[way]))
        measured = [length_evidence(self.sides[first], self.sides[second]), *ways[reverse]]
        named = name_evidence(first, second, self.book)
        twin = self.twins.between(first, second)
        if twin is None:
            told = [Evidence(self.prior), *measured, *named]
        else:
            against = [replace(each, weight=min(each.weight, 0.0)) for each in measured]
            told = [Evidence(_TWINS[twin], twin.value), *against, *named]
        if first.panel == second.panel:
            told.append(self._one_panel(first, second))
        weight = sum(each.weight for each in told)
        return Likeness(first, second, weight, reverse, _reasons(told))

    def _one_panel(self, first: EdgeName, second: EdgeName) -> Evidence:
        side = self.sides[first]
        for neighbour, angle in zip(side.neighbours, side.angles, strict=True):
            if neighbour == second and angle > math.pi:
                return Evidence(_DART, "both are edges of one panel, about a dart")
        return Evidence(_SAME_PANEL, "both are edges of one panel")

    def _way(self, first: EdgeName, second: EdgeName, *, reverse: bool) -> list[Evidence]:
        one, other = self.sides[first], (self.turned if reverse else self.sides)[second]
        return [
            marks_evidence(one, other, marked_share=self.marked_share),
            ends_evidence(one, other),
            shape_evidence(one, other, mirrored=not reverse),
        ]


_FACE_DOWN = "one of them traced face down"


def _reasons(told: Sequence[Evidence]) -> tuple[str, ...]:
    worth = sorted((each for each in told if each.words), key=lambda each: -each.weight)
    return tuple(each.words for each in worth)


def edge_sides(panels: Sequence[Panel]) -> dict[EdgeName, Side]:
    """Measure every edge of ``panels``, in order."""
    names = [(panel, EdgeName(panel.name, edge.name)) for panel in panels for edge in panel.edges]
    return {name: side_of(panel, name) for panel, name in names}


def likenesses(panels: Sequence[Panel], sides: Mapping[EdgeName, Side]) -> list[Likeness]:
    """Weigh every pair of edges that is worth it; the drawing as a whole sets the standard.

    Edges of panels without corners are left out: nothing tells where such a seam would begin.
    """
    rims = {panel.name for panel in panels if len(panel.edges) == 1}
    names = [name for name in sides if name.panel not in rims]
    turned = {name: turned_round(side) for name, side in sides.items()}
    marked = sum(bool(sides[name].marks) for name in names)
    book = name_book(panels)
    weigher = _Weigher(
        sides,
        turned,
        book,
        Twins(panels, sides, turned),
        marked / max(len(names), 1),
        max(_MOST_PRIOR - math.log(max(len(names) - 1, 1)), _LEAST_PRIOR),
    )
    number = {name: index for index, name in enumerate(names)}
    pairs = set(likely_pairs([sides[name] for name in names]))
    for first, second in book.sharing(_RARE_NAME):
        if first in number and second in number:
            i, j = sorted((number[first], number[second]))
            pairs.add((i, j))
    return [weigher.likeness(names[i], names[j]) for i, j in sorted(pairs)]
