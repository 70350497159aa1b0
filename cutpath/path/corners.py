"""How two neighbouring allowances meet: what is filled in between them and what is trimmed off.

At a corner with turn φ (interior angle θ = 180° − φ) the parallels at a and b cross at a distance
|PQ| = √(a² + b² + 2ab cos θ) / sin θ from the corner P (derived: two lines at given distances
from a point).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, polyline
from cutpath.geometry.offset import outward_normal
from cutpath.geometry.points import Floats, Point

_STRAIGHT = math.radians(1.0)
_HAIR = 1e-3
"""How deep, mm, a filled corner is rooted in the panel; loops that only touch may not join."""
_CAPPED_FROM = math.radians(120)
_OVER = 1.0
"""How far, mm, a trimming shape reaches beyond what it trims."""


@dataclass(frozen=True, slots=True, eq=False)
class CornerShape:
    """Loops to add at a corner, and loops to take from the strip before and the strip after it."""

    fill: tuple[Chain, ...] = ()
    trim_before: tuple[Chain, ...] = ()
    trim_after: tuple[Chain, ...] = ()


NOTHING = CornerShape()


@dataclass(frozen=True, slots=True, eq=False)
class CornerPlace:
    """A corner of the net line: the point, unit tangents arriving and leaving, and both widths."""

    point: Point
    arriving: Floats
    leaving: Floats
    before: float
    after: float

    @property
    def turn(self) -> float:
        """Signed turn of the net line, radians; + is an outward (convex) corner."""
        a, b = self.arriving, self.leaving
        return math.atan2(float(a[0] * b[1] - a[1] * b[0]), float(a @ b))

    @property
    def root(self) -> Point:
        """The corner, moved a hair into the panel: what is filled in from there joins it."""
        both = outward_normal(self.arriving) + outward_normal(self.leaving)
        size = float(np.hypot(*both))
        inward = -both / size if size > 1e-6 else self.leaving
        return np.asarray(self.point + _HAIR * inward)

    @property
    def foot_before(self) -> Point:
        """End of the parallel before the corner, square to the net line."""
        return self.point + self.before * outward_normal(self.arriving)

    @property
    def foot_after(self) -> Point:
        """Start of the parallel after the corner."""
        return self.point + self.after * outward_normal(self.leaving)


def mitre(place: CornerPlace, limit: float) -> CornerShape:
    """Run both parallels on to their crossing, bevelled at ``limit`` × the wider allowance.

    Where the crossing lies behind the wider strip's own square end by more than its width (a
    nearly straight corner with unequal widths), the wider one ends square instead: else its
    allowance would taper away along the seam.
    """
    widest = max(place.before, place.after)
    if widest == 0 or place.turn <= 0:
        return NOTHING
    crossing = _crossing(place)
    if crossing is None:
        return _stepped(place)
    run_before = float((crossing - place.foot_before) @ place.arriving)
    run_after = float((place.foot_after - crossing) @ place.leaving)
    if run_before < -place.before or run_after < -place.after:
        return _stepped(place)
    # A negative run means that the crossing cuts that strip back.
    if run_before < -1e-9:
        fill = _loop([place.root, crossing, place.foot_after])
        return CornerShape(fill, trim_before=_behind(place, crossing, -1))
    if run_after < -1e-9:
        fill = _loop([place.root, place.foot_before, crossing])
        return CornerShape(fill, trim_after=_behind(place, crossing, +1))
    return CornerShape(_filled(place, crossing, limit * widest))


def crease(place: CornerPlace, reserve: float, limit: float) -> CornerShape:
    """Trim two hems parallel to the crease through the corner, leaving ``reserve`` mm beyond it.

    The crease passes through the corner at right angles to the bisector; for equal hems h on a
    square corner this removes a triangle with legs 2h − s√2. A corner whose mitre passes ``limit``,
    or with an allowance of 0, is left to the mitre.
    """
    mitred = mitre(place, limit)
    crossing = _crossing(place)
    if crossing is None or place.turn <= 0 or min(place.before, place.after) == 0:
        return mitred
    if float(np.hypot(*(crossing - place.point))) > limit * max(place.before, place.after):
        return mitred
    outward = _bisector(place)
    base = place.point + reserve * outward
    reach = 2 * float(np.hypot(*(crossing - place.point))) + place.before + place.after
    side = np.array([-outward[1], outward[0]])
    corners = [
        base - reach * side,
        base + reach * side,
        base + reach * (side + outward),
        base + reach * (outward - side),
    ]
    cut = _counter_clockwise(corners)
    kept = tuple(_clipped_by_line(loop, base, outward) for loop in mitred.fill)
    return CornerShape(tuple(k for k in kept if k is not None), (cut,), (cut,))


def _bisector(place: CornerPlace) -> Floats:
    both = outward_normal(place.arriving) + outward_normal(place.leaving)
    return np.asarray(both / np.hypot(*both))


def _crossing(place: CornerPlace) -> Point | None:
    if place.turn < _STRAIGHT:
        return None
    sine = math.sin(place.turn)
    cosine = math.cos(place.turn)
    if sine < 1e-6:
        return None
    run = (place.after - place.before * cosine) / sine
    return np.asarray(place.foot_before + run * place.arriving)


def _filled(place: CornerPlace, crossing: Point, reach: float) -> tuple[Chain, ...]:
    away = crossing - place.point
    distance = float(np.hypot(*away))
    feet = [place.foot_before, place.foot_after]
    if distance <= reach:
        return _loop([place.root, feet[0], crossing, feet[1]])
    bevel = _bisector(place) if place.before == place.after else away / distance
    tips = [_at_reach(foot, crossing, place.point, bevel, reach) for foot in feet]
    return _loop([place.root, feet[0], *tips, feet[1]])


def _at_reach(foot: Point, crossing: Point, corner: Point, bevel: Floats, reach: float) -> Point:
    """Give where the run from ``foot`` to ``crossing`` passes ``reach`` along ``bevel``."""
    start, end = float((foot - corner) @ bevel), float((crossing - corner) @ bevel)
    share = (reach - start) / (end - start) if end > reach > start else float(end <= reach)
    return np.asarray(foot + share * (crossing - foot))


def _stepped(place: CornerPlace) -> CornerShape:
    """Let each strip end square and fill the wedge between them at the narrower width."""
    least = min(place.before, place.after)
    if least == 0 or place.turn < 1e-9:
        return NOTHING
    first, second = outward_normal(place.arriving), outward_normal(place.leaving)
    if place.turn < _CAPPED_FROM:
        tips = [least * (first + second) / (1 + float(first @ second))]
    else:  # the net line turns back on itself: a square cap
        tips = [least * (first + place.arriving), least * (second - place.leaving)]
    loop = _loop(
        [
            place.root,
            place.point + least * first,
            *(place.point + tip for tip in tips),
            place.point + least * second,
        ]
    )
    return CornerShape(fill=loop)


def _behind(place: CornerPlace, crossing: Point, side: int) -> tuple[Chain, ...]:
    """Give the triangle of a strip that lies beyond the line from the corner to the crossing."""
    foot = place.foot_after if side > 0 else place.foot_before
    along = place.leaving if side > 0 else -place.arriving
    ray = crossing - place.point
    ray = ray / np.hypot(*ray)
    outward = (foot - place.point) / max(float(np.hypot(*(foot - place.point))), 1e-300)
    tip = crossing + _OVER * ray
    return (
        _counter_clockwise(
            [place.point, tip, foot + _OVER * (outward - along), place.point - _OVER * along]
        ),
    )


def _loop(corners: list[Point]) -> tuple[Chain, ...]:
    kept = [
        corner
        for index, corner in enumerate(corners)
        if float(np.hypot(*(corner - corners[index - 1]))) > 1e-9
    ]
    if len(kept) < 3 or abs(_area(kept)) < 1e-12:
        return ()
    return (_counter_clockwise(kept),)


def _area(corners: list[Point]) -> float:
    x, y = np.array(corners).T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2


def _counter_clockwise(corners: list[Point]) -> Chain:
    return polyline(corners if _area(corners) > 0 else corners[::-1], closed=True)


def _clipped_by_line(loop: Chain, base: Point, outward: Floats) -> Chain | None:
    """Keep the part of a straight-sided convex ``loop`` on the inner side of a line."""
    kept: list[Point] = []
    height = (loop.points - base) @ outward
    count = len(height)
    for index in range(count):
        after = (index + 1) % count
        if height[index] <= 0:
            kept.append(loop.points[index])
        if (height[index] <= 0) != (height[after] <= 0):
            share = height[index] / (height[index] - height[after])
            kept.append(loop.points[index] + share * (loop.points[after] - loop.points[index]))
    clipped = _loop(kept) if len(kept) >= 3 else ()
    return clipped[0] if clipped else None
