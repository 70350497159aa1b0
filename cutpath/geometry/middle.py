"""The roomiest place inside an outline."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

import shapely
from shapely.geometry.base import BaseGeometry

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten

_FLATNESS = 0.5


def roomiest(outline: Chain, taken: Sequence[Chain] = ()) -> tuple[tuple[float, float], float]:
    """Give centre and radius, mm, of the largest circle inside ``outline`` clear of ``taken``."""
    shape: BaseGeometry = shapely.Polygon(flatten(outline, _FLATNESS).points).buffer(0)
    for hole in taken:
        shape = shape.difference(shapely.Polygon(flatten(hole, _FLATNESS).points).buffer(0))
    if shape.is_empty:
        x, y = outline.first.tolist()
        return (x, y), 0.0
    area = cast(shapely.MultiPolygon, shape)
    spoke = shapely.maximum_inscribed_circle(area, tolerance=1.0)
    (x, y), _ = shapely.get_coordinates(spoke).tolist()
    return (x, y), float(spoke.length)
