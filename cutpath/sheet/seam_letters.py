"""Letters in rings on the edges that are sewn, with an arrow the way the seam is sewn."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.inclusion import Inclusion
from cutpath.geometry.measure import bounds, length, points_at_stations
from cutpath.geometry.points import Floats
from cutpath.geometry.transform import moved_points
from cutpath.seam_report import Verdict
from cutpath.sheet.page import EDGE, FINE, Letters, Page, Pen, Place, arrow_head, flag_width
from cutpath.sheet.panel_layout import Laid
from cutpath.sheet.taken import Box, Taken, box_about
from cutpath.sheet.words import text_width

_RADII = (2.8, 2.3, 1.8)
_READABLE = 2.0
_FROM_EDGE = 1.3
_ARROW = 5.0
_CENTRAL = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74)
_REMOTE = (0.18, 0.82, 0.1, 0.9)
"""Shares of the edge at which a ring may stand; near a corner it could be taken for another's."""
_DEPTHS = (1.0, 2.6)
_FLAG = 2.2
_HEAVY_RING = Pen(0.9)
FLAT = 0.05
"""Flatness of outlines on paper, mm."""


@dataclass(frozen=True, slots=True)
class SeamEdge:
    """One side of a seam: its letter, edge, which of the edge's seams it is, and the verdict.

    ``backwards`` says that the seam runs against the edge; ``turn`` of ``turns`` seams share it.
    """

    letter: str
    edge: str
    backwards: bool
    verdict: Verdict
    turn: int = 0
    turns: int = 1


@dataclass(frozen=True, slots=True)
class Spot:
    """A ring that may be drawn for ``side``: its boxes are ring, arrow and perhaps a flag.

    ``along`` is the way of the arrow. ``is_forced`` tells that it stands over something, as there
    was no room.
    """

    side: SeamEdge
    middle: Place
    radius: float
    along: Place
    flag: Place | None
    boxes: tuple[Box, ...]
    is_forced: bool = False

    @property
    def is_poor(self) -> bool:
        """Whether a larger sheet would read better."""
        return self.is_forced or self.radius < _READABLE


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What a sheet holds: what is written, what others wish to write, and the panels' boxes."""

    written: Taken
    wished: Taken
    panels: Taken


def placed_letters(
    laid: Laid, outline: Chain, sides: Sequence[SeamEdge], ground: Ground
) -> list[Spot]:
    """Choose and take places for the rings of one panel; ``outline`` is the panel's on paper.

    A ring is put inside near the edge's middle; where there is no room it slides along the edge,
    shrinks, or stands outside. It stands on what others wish for only where nothing else is left.
    """
    finder = _Finder(Inclusion(outline, FLAT), bounds(outline), ground)
    chains = {edge.name: edge.chain for edge in laid.panel.edges}
    spots = []
    for side in sides:
        spot = finder.best(laid, chains[side.edge], side)
        ground.written.take(spot.boxes)
        spots.append(spot)
    return spots


@dataclass(frozen=True, slots=True, eq=False)
class _Finder:
    """Looks for room in and about one panel."""

    inside: Inclusion
    box: Box
    ground: Ground

    def best(self, laid: Laid, chain: Chain, side: SeamEdge) -> Spot:
        """Give the first spot that is clear of all; else of what is written; else a forced one."""
        forced: Spot | None = None
        for shares in (_CENTRAL, _REMOTE):
            places, along = _on_paper(laid, chain, side, shares)
            clear: Spot | None = None
            for inwards, spot in _candidates(places, along, side):
                if (clear and not inwards) or not self.ground.written.is_free(spot.boxes):
                    continue
                forced = forced or spot
                if self._is_apart(spot, inwards=inwards):
                    if self.ground.wished.is_free(spot.boxes):
                        return spot
                    clear = clear or spot
            if clear:
                return clear
        first = next(_candidates(*_on_paper(laid, chain, side, _CENTRAL), side))[1]
        return replace(forced or first, is_forced=True)

    def _is_apart(self, spot: Spot, *, inwards: bool) -> bool:
        """Tell whether a spot is all inside its panel, or all outside and on no other."""
        within = self.inside.holds(_corners(spot.boxes))
        if inwards:
            return bool(within.all())
        others = (found for box in spot.boxes for found in self.ground.panels.within(box))
        return not within.any() and all(found == self.box for found in others)


def _on_paper(
    laid: Laid, chain: Chain, side: SeamEdge, wanted: Sequence[float]
) -> tuple[Floats, Floats]:
    """Give places at ``wanted`` shares of the edge, and directions there, on paper."""
    shares = np.array(wanted)
    if side.turns > 1:  # each seam that shares the edge has its own stretch of it
        shares = (side.turn + shares) / side.turns
    points, tangents = points_at_stations(chain, shares * length(chain))
    return moved_points(points, laid.matrix), laid.turned(tangents)


def _candidates(places: Floats, along: Floats, side: SeamEdge) -> Iterator[tuple[bool, Spot]]:
    """Give spots, and whether they lie inwards of the edge, the best first."""
    pairs = list(zip(places.tolist(), along.tolist(), strict=True))
    sign = -1.0 if side.backwards else 1.0
    flags = (False,) if side.verdict is Verdict.FITS else (False, True)
    for radius in _RADII:
        for inwards in (True, False):
            # Outside, a ring that is far off could be taken for a neighbour's.
            depths = _DEPTHS if inwards else _DEPTHS[:1]
            for depth, is_beyond in itertools.product(depths, flags):
                for place, (dx, dy) in pairs:
                    # Panels run counter-clockwise: on paper, y down, inside is (dy, −dx).
                    normal = (dy, -dx) if inwards else (-dy, dx)
                    step = depth * radius + _FROM_EDGE
                    middle = (place[0] + step * normal[0], place[1] + step * normal[1])
                    way = (sign * dx, sign * dy)
                    flagged = normal if is_beyond else (-way[0], -way[1])
                    yield inwards, _made(side, middle, radius, way, flagged)


def _made(side: SeamEdge, middle: Place, radius: float, along: Place, flagged: Place) -> Spot:
    """Give a ring with its arrow ``along``, and a flag on the side that ``flagged`` points to."""
    x, y = middle
    (dx, dy), reach = along, radius + _ARROW
    tip = (x + dx * reach, y + dy * reach)
    rim = (x + dx * radius, y + dy * radius)
    arrow = (
        min(tip[0], rim[0]) - 0.7,
        min(tip[1], rim[1]) - 0.7,
        max(tip[0], rim[0]) + 0.7,
        max(tip[1], rim[1]) + 0.7,
    )
    # The ring's line is half outside its radius.
    boxes: list[Box] = [box_about(x, y, 2 * radius + 1.0, 2 * radius + 1.0), arrow]
    flag: Place | None = None
    if side.verdict is not Verdict.FITS:
        wide, high = flag_width(side.verdict.value.upper(), _FLAG), 1.35 * _FLAG
        away = radius + 0.7 + abs(flagged[0]) * wide / 2 + abs(flagged[1]) * high / 2
        flag = (x + flagged[0] * away, y + flagged[1] * away)
        boxes.append(box_about(*flag, wide, high))
    return Spot(side, middle, radius, along, flag, tuple(boxes))


def _corners(boxes: Sequence[Box]) -> Floats:
    return np.array([(x, y) for x0, y0, x1, y1 in boxes for x in (x0, x1) for y in (y0, y1)])


def draw_letter(page: Page, spot: Spot) -> None:
    """Draw a ring with its arrow, and the word where the seam does not simply fit."""
    verdict = spot.side.verdict
    draw_ring(page, spot.side.letter, spot.middle, spot.radius, is_out=verdict is Verdict.OUT)
    (x, y), (dx, dy) = spot.middle, spot.along
    start = (x + dx * spot.radius, y + dy * spot.radius)
    tip = (x + dx * (spot.radius + _ARROW), y + dy * (spot.radius + _ARROW))
    page.line(start, (tip[0] - dx, tip[1] - dy), EDGE)
    page.filled(arrow_head(tip, spot.along, 2.0))
    if spot.flag:
        draw_word(page, verdict, spot.flag)


def draw_ring(page: Page, letter: str, middle: Place, radius: float, *, is_out: bool) -> None:
    """Draw a letter in its ring, heavy where the seam is out."""
    page.ring(middle, radius, _HEAVY_RING if is_out else FINE)
    size = min(1.45 * radius, 1.45 * radius * 1.35 * radius / text_width(letter, 1.45 * radius))
    page.centred_words(letter, middle, Letters(size, bold=True))


def draw_word(page: Page, verdict: Verdict, at: Place) -> None:
    """Set the verdict's word about a middle: white on black for out, else in a frame."""
    word = verdict.value.upper()
    if verdict is Verdict.OUT:
        page.flag(word, at, _FLAG)
        return
    wide, high = flag_width(word, _FLAG), 1.35 * _FLAG
    page.box((at[0] - wide / 2, at[1] - high / 2), (wide, high), FINE, "white")
    page.centred_words(word, at, Letters(_FLAG, bold=True))
