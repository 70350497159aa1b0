"""Arcs of the machine languages: as bulged joints, and as the chords a plotter draws."""

from __future__ import annotations

import math

from cutpath.replay.tracing import Spot

Joint = tuple[Spot, float]


def bulged(start: Spot, end: Spot, center: Spot, sweep: float) -> list[Joint]:
    """Give joints from ``start`` to ``end``, ``sweep`` radians about ``center``, each ≤ 180°.

    Where the two radii differ a little, joints between take them in proportion.
    """
    parts = max(1, math.ceil(abs(sweep) / math.pi - 1e-9))
    angle = math.atan2(start[1] - center[1], start[0] - center[0])
    radius0, radius1 = math.dist(start, center), math.dist(end, center)
    bulge = math.tan(sweep / parts / 4)
    joints: list[Joint] = []
    for part in range(1, parts):
        share = part / parts
        radius = radius0 + (radius1 - radius0) * share
        at = angle + sweep * share
        joints.append(
            ((center[0] + radius * math.cos(at), center[1] + radius * math.sin(at)), bulge)
        )
    joints.append((end, bulge))
    return joints


def chords(start: Spot, center: Spot, sweep: float, chord: float) -> list[Spot]:
    """Give the ends of the equal chords of at most ``chord`` radians an arc is drawn with.

    A plotter draws arcs as chords (HP, PCL 5 Technical Reference II, pp. 20-10 to 20-25).
    """
    count = max(1, math.ceil(abs(sweep) / chord - 1e-9))
    x, y = start[0] - center[0], start[1] - center[1]
    ends = []
    for part in range(1, count + 1):
        cos, sin = math.cos(sweep * part / count), math.sin(sweep * part / count)
        ends.append((center[0] + x * cos - y * sin, center[1] + x * sin + y * cos))
    return ends


def through(start: Spot, middle: Spot, end: Spot) -> tuple[Spot, float] | None:
    """Give centre and signed sweep of the arc through three points; None when they are in line."""
    ax, ay = middle[0] - start[0], middle[1] - start[1]
    bx, by = end[0] - start[0], end[1] - start[1]
    twice = 2 * (ax * by - ay * bx)
    if abs(twice) < 1e-9 * max(1.0, math.hypot(ax, ay) * math.hypot(bx, by)):
        return None
    a2, b2 = ax * ax + ay * ay, bx * bx + by * by
    center = (start[0] + (by * a2 - ay * b2) / twice, start[1] + (ax * b2 - bx * a2) / twice)
    turn = math.atan2(end[1] - center[1], end[0] - center[0]) - math.atan2(
        start[1] - center[1], start[0] - center[0]
    )
    sweep = turn % (2 * math.pi)
    return center, sweep if twice > 0 else sweep - 2 * math.pi
