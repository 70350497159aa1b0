"""Where lines and circles cross, in closed form, with plain floats for single questions."""

from __future__ import annotations

import math
from dataclasses import dataclass

XY = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Straight:
    """The endless line through ``start`` and ``end``."""

    start: XY
    end: XY


@dataclass(frozen=True, slots=True)
class Round:
    """The whole circle about ``center``."""

    center: XY
    radius: float


Primitive = Straight | Round


def crossings(a: Primitive, b: Primitive) -> list[XY]:
    """Give the points where ``a`` and ``b`` cross: none, one or two; none when they coincide."""
    if isinstance(a, Straight):
        return _lines(a, b) if isinstance(b, Straight) else _line_circle(a, b)
    return _line_circle(b, a) if isinstance(b, Straight) else _circles(a, b)


def crossing_near(a: Primitive, b: Primitive, near: XY, within: float) -> XY:
    """Give the crossing of ``a`` and ``b`` nearest to ``near``; ``near`` itself when none is close.

    ``within`` is in mm.
    """
    best, distance = near, within
    for point in crossings(a, b):
        gap = math.dist(point, near)
        if gap <= distance:
            best, distance = point, gap
    return best


def _lines(a: Straight, b: Straight) -> list[XY]:
    ax, ay = a.end[0] - a.start[0], a.end[1] - a.start[1]
    bx, by = b.end[0] - b.start[0], b.end[1] - b.start[1]
    det = ax * by - ay * bx
    # Below this sine (about 1e-9) the crossing is too ill conditioned to mean anything.
    if abs(det) <= 1e-9 * math.hypot(ax, ay) * math.hypot(bx, by):
        return []
    dx, dy = b.start[0] - a.start[0], b.start[1] - a.start[1]
    t = (dx * by - dy * bx) / det
    return [(a.start[0] + t * ax, a.start[1] + t * ay)]


def _line_circle(a: Straight, b: Round) -> list[XY]:
    ux, uy = a.end[0] - a.start[0], a.end[1] - a.start[1]
    size = math.hypot(ux, uy)
    if size == 0:
        return []
    ux, uy = ux / size, uy / size
    px, py = b.center[0] - a.start[0], b.center[1] - a.start[1]
    along, away = px * ux + py * uy, px * uy - py * ux
    half = (b.radius - away) * (b.radius + away)
    if half < 0:
        return []
    half = math.sqrt(half)
    return [(a.start[0] + t * ux, a.start[1] + t * uy) for t in (along - half, along + half)]


def _circles(a: Round, b: Round) -> list[XY]:
    if a.radius > b.radius:
        a, b = b, a
    dx, dy = b.center[0] - a.center[0], b.center[1] - a.center[1]
    gap = math.hypot(dx, dy)
    if gap == 0:
        return []
    ux, uy = dx / gap, dy / gap
    # Factored, and seen from the smaller circle, it keeps its digits beside a nearly straight arc.
    along = ((gap - b.radius) * (gap + b.radius) + a.radius**2) / (2 * gap)
    half = (a.radius - along) * (a.radius + along)
    if half < 0:
        return []
    half = math.sqrt(half)
    x, y = a.center[0] + along * ux, a.center[1] + along * uy
    return [(x - half * uy, y + half * ux), (x + half * uy, y - half * ux)]
