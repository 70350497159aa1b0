"""Whether a loop is one clean outline, and making it one."""

from __future__ import annotations

import re
from collections.abc import Sequence

import shapely

from cutpath.geometry.chain import Chain, polyline, reversed_chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.measure import signed_area

_FLATNESS = 0.001


def is_simple(loop: Chain, flatness: float = _FLATNESS) -> bool:
    """Tell whether a closed chain neither crosses nor touches itself, to ``flatness`` mm."""
    points = flatten(loop, flatness).points
    return len(points) >= 3 and bool(shapely.LinearRing(points).is_simple)


def made_simple(loop: Chain) -> Chain:
    """Give ``loop``, or its largest clean part as straight pieces where it meets itself.

    The way out for shapes that touch themselves within rounding: arcs are given up (to 0.001 mm)
    rather than soundness.
    """
    if is_simple(loop):
        return loop
    region = shapely.Polygon(flatten(loop, _FLATNESS).points).buffer(0)
    parts = getattr(region, "geoms", [region])
    ring = max(parts, key=lambda part: part.area).exterior
    clean = polyline(shapely.get_coordinates(ring)[:-1], closed=True)
    return clean if signed_area(clean) > 0 else reversed_chain(clean)


def crossing_place(loop: Chain, flatness: float = 0.01) -> tuple[float, float] | None:
    """Give a place where a closed chain crosses or touches itself, mm, or None when it does not."""
    points = flatten(loop, flatness).points
    if len(points) < 3:
        return float(points[0][0]), float(points[0][1])
    if shapely.LinearRing(points).is_simple:
        return None
    words = shapely.is_valid_reason(shapely.Polygon(points))
    numbers = re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", words.partition("[")[2])
    if len(numbers) >= 2:
        return float(numbers[0]), float(numbers[1])
    return float(points[0][0]), float(points[0][1])


def around(loops: Sequence[Chain], inner: Chain) -> Chain:
    """Give the loop that surrounds the inside of ``inner``; the largest when none does."""
    place = shapely.Polygon(flatten(inner, 0.01).points).representative_point()
    for loop in sorted(loops, key=signed_area, reverse=True):
        if signed_area(loop) > 0:
            polygon = shapely.Polygon(flatten(loop, 0.01).points)
            if polygon.is_valid and polygon.contains(place):
                return loop
    return max(loops, key=signed_area)
