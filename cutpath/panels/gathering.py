"""Which loops are panels, and what in the drawing belongs to each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.chain import Chain
from cutpath.geometry.containment import Yard, parents
from cutpath.geometry.measure import bounds, length, points_at_stations, signed_area
from cutpath.geometry.points import Point, Points, as_points
from cutpath.model import Curve, Drawing, Finding, Sort, Spot, Text

MARK_REACH = 3.0
"""How far from the outline, mm, a drawn mark may lie."""
TURN_REACH = 1.0
"""How far from the outline, mm, a turn point may lie."""
TEXT_REACH = 40.0
"""How far outside a panel, mm, a text may stand that names something on it."""
TOUCH = 0.5
"""A tick that ends this close to the outline, mm, is taken to touch it."""
LONGEST_TICK = 40.0
WIDEST_DOT = 12.0

_SHAPING = {Sort.UNSAID, Sort.OUTLINE, Sort.CUTOUT}
_DOTS = {Sort.UNSAID, Sort.NOTCH, Sort.DRILL}
_PEN = {Sort.DRAWN, Sort.SEW}


@dataclass(frozen=True, slots=True, eq=False)
class Dot:
    """A point or a small circle that marks a place."""

    xy: Point
    reach: float
    thing: Spot | Curve


@dataclass(frozen=True, slots=True, eq=False)
class Belongings:
    """One panel's loop and all that the drawing has in and on it.

    ``holes`` are loops inside it; ``dots`` points and small circles; ``lines`` open curves.
    ``inside`` are texts within the loop, ``beside`` those near it outside.
    """

    loop: Curve
    holes: tuple[Curve, ...]
    dots: tuple[Dot, ...]
    turns: tuple[Spot, ...]
    ticks: tuple[Curve, ...]
    drawn: tuple[Curve, ...]
    grain: tuple[Curve, ...]
    inside: tuple[Text, ...]
    beside: tuple[Text, ...]


def gather(
    drawing: Drawing, loops: Sequence[Curve], open_curves: Sequence[Curve]
) -> tuple[list[Belongings], list[Finding]]:
    """Share out a drawing's loops, lines, spots and texts among its panels.

    In a pattern-exchange drawing each block is a world of its own. Raises InputError for a stray
    open curve and a drawing without an outline.
    """
    worlds = dict.fromkeys(loop.group if drawing.is_exchange else "" for loop in loops)
    found: list[Belongings] = []
    findings: list[Finding] = []
    for world in worlds:
        share = _World.of(drawing, loops, open_curves, world)
        found += share.belongings(findings)
    if not found:
        raise InputError(
            "the drawing has no closed outline",
            remedy="Draw each panel as a closed line, or close its gaps.",
        )
    return found, findings


@dataclass(frozen=True, slots=True, eq=False)
class _World:
    loops: Sequence[Curve]
    lines: Sequence[Curve]
    spots: Sequence[Spot]
    texts: Sequence[Text]
    is_exchange: bool

    @classmethod
    def of(
        cls, drawing: Drawing, loops: Sequence[Curve], lines: Sequence[Curve], world: str
    ) -> _World:
        """Take the part of a drawing that belongs to one block, or all of it."""

        def here(thing: Curve | Spot | Text) -> bool:
            return not drawing.is_exchange or thing.group == world

        return cls(
            [loop for loop in loops if here(loop)],
            [line for line in lines if here(line)],
            [spot for spot in drawing.spots if here(spot)],
            [text for text in drawing.texts if here(text)],
            drawing.is_exchange,
        )

    def belongings(self, findings: list[Finding]) -> list[Belongings]:
        dots = [loop for loop in self.loops if loop.sort in _DOTS and is_dot(loop.chain)]
        known = {id(dot) for dot in dots}
        shaping = [loop for loop in self.loops if loop.sort in _SHAPING and id(loop) not in known]
        panels, holes = _nested(shaping, findings)
        yard = Yard.of([panel.chain for panel in panels])
        shares = [_Share() for _ in panels]
        for panel, hole in holes:
            shares[panel].holes.append(hole)
        self._share_dots(yard, dots, shares)
        self._share_lines(yard, shares, findings)
        self._share_texts(yard, shares)
        return [share.frozen(panel) for panel, share in zip(panels, shares, strict=True)]

    def _share_dots(self, yard: Yard, circles: Sequence[Curve], shares: list[_Share]) -> None:
        turns = [spot for spot in self.spots if spot.sort is Sort.TURN]
        for spot, owner in zip(turns, yard.nearest_border(_places(turns), TURN_REACH), strict=True):
            if owner >= 0:
                shares[owner].turns.append(spot)
        dots = [Dot(spot.xy, 0.0, spot) for spot in self.spots if spot.sort in _DOTS]
        dots += [_dot(circle) for circle in circles]
        at = as_points([dot.xy for dot in dots])
        near, around = yard.nearest_border(at, WIDEST_DOT / 2), yard.around(at)
        reach = yard.nearest_border(at, MARK_REACH)
        for index, dot in enumerate(dots):
            close = near[index] if dot.reach > MARK_REACH else reach[index]
            owner = close if close >= 0 else around[index]
            if owner >= 0:
                shares[owner].dots.append(dot)

    def _share_lines(self, yard: Yard, shares: list[_Share], findings: list[Finding]) -> None:
        lines = [line for line in self.lines if line.sort is not Sort.NOTE]
        lines += [
            loop
            for loop in self.loops
            if loop.sort not in _SHAPING | {Sort.NOTE, Sort.DRILL}
            and not (loop.sort is Sort.NOTCH and is_dot(loop.chain))
        ]
        around = yard.around(_middles(lines))
        touched = yard.touched([line.chain for line in lines], TOUCH)
        for line, home, touch in zip(lines, around, touched, strict=True):
            owner = home if home >= 0 else touch
            if line.sort in _PEN and owner >= 0:
                shares[owner].drawn.append(line)
            elif line.sort is Sort.GRAIN and owner >= 0:
                shares[owner].grain.append(line)
            elif touch >= 0 and _may_be_tick(line):
                shares[touch].ticks.append(line)
            elif line.sort in {Sort.UNSAID, Sort.OUTLINE, Sort.CUTOUT}:
                raise _stray(line)
            else:
                findings.append(_unused(line))

    def _share_texts(self, yard: Yard, shares: list[_Share]) -> None:
        if self.is_exchange and len(shares) == 1:
            shares[0].inside.extend(self.texts)
            return
        texts = [text for text in self.texts if text.sort is not Sort.NOTE]
        at = as_points([text.xy for text in texts])
        around, near = yard.around(at), yard.nearest_border(at, TEXT_REACH)
        for text, home, beside in zip(texts, around, near, strict=True):
            if home >= 0:
                shares[home].inside.append(text)
            elif beside >= 0:
                shares[beside].beside.append(text)


class _Share:
    """What one panel has got so far."""

    def __init__(self) -> None:
        self.holes: list[Curve] = []
        self.dots: list[Dot] = []
        self.turns: list[Spot] = []
        self.ticks: list[Curve] = []
        self.drawn: list[Curve] = []
        self.grain: list[Curve] = []
        self.inside: list[Text] = []
        self.beside: list[Text] = []

    def frozen(self, loop: Curve) -> Belongings:
        return Belongings(
            loop, tuple(self.holes), tuple(self.dots), tuple(self.turns), tuple(self.ticks),
            tuple(self.drawn), tuple(self.grain), tuple(self.inside), tuple(self.beside),
        )  # fmt: skip


def _nested(
    shaping: Sequence[Curve], findings: list[Finding]
) -> tuple[list[Curve], list[tuple[int, Curve]]]:
    """Tell panels from the loops inside them: (panels, [(panel's index, loop)])."""
    around = parents([loop.chain for loop in shaping])
    # Where outlines are said to be such, a frame drawn round them is no panel.
    is_said = any(loop.sort is Sort.OUTLINE for loop in shaping)
    panel_of: dict[int, int] = {}
    panels: list[Curve] = []
    holes: list[tuple[int, Curve]] = []
    order = sorted(range(len(shaping)), key=lambda index: (_depth(around, index), index))
    for index in order:
        loop, parent = shaping[index], around[index]
        if parent in panel_of:
            holes.append((panel_of[parent], loop))
        elif loop.sort is Sort.OUTLINE or (loop.sort is Sort.UNSAID and not is_said):
            panel_of[index] = len(panels)
            panels.append(loop)
        else:
            findings.append(_unused(loop))
    return panels, holes


def _depth(around: Sequence[int], index: int) -> int:
    depth = 0
    while around[index] >= 0:
        index, depth = around[index], depth + 1
    return depth


def is_dot(loop: Chain) -> bool:
    """Tell whether a closed chain is a circle small enough to be a mark."""
    if not loop.closed:
        return False
    x0, y0, x1, y1 = bounds(loop)
    width, height = x1 - x0, y1 - y0
    if max(width, height) > WIDEST_DOT * 1.001 or abs(width - height) > 0.02 * width:
        return False
    return abs(abs(signed_area(loop)) / (width * height) - math.pi / 4) < 0.02


def _dot(circle: Curve) -> Dot:
    x0, y0, x1, y1 = bounds(circle.chain)
    return Dot(np.array([(x0 + x1) / 2, (y0 + y1) / 2]), (x1 - x0) / 2, circle)


def _may_be_tick(line: Curve) -> bool:
    if line.sort is Sort.NOTCH:
        return True
    is_open_mark = line.sort in {Sort.UNSAID, Sort.OUTLINE} and not line.chain.closed
    return is_open_mark and length(line.chain) <= LONGEST_TICK


def _stray(line: Curve) -> InputError:
    return InputError(
        f"a stray open line {length(line.chain):.1f} mm long on a layer that is cut",
        line.source,
        f"Close it, put it on a layer that is drawn, or remove it. A tick is at most "
        f"{LONGEST_TICK:.0f} mm long and touches the outline.",
    )


def _unused(line: Curve) -> Finding:
    return Finding(
        f"not used: this {line.sort} line belongs to no panel",
        line.source,
        "Move it into a panel, or name its layer in the job's [layers].",
    )


def _places(spots: Sequence[Spot]) -> Points:
    return as_points([spot.xy for spot in spots])


def _middles(lines: Sequence[Curve]) -> Points:
    out = []
    for line in lines:
        at, _ = points_at_stations(line.chain, np.array([length(line.chain) / 2]))
        out.append(at[0])
    return as_points(out)
