"""Which upright windows an outline reaches into, by shapely."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Bools, Floats

_FLATNESS = 0.05
_AREA = 1e-6


def windows_met(outline: Chain, windows: Floats) -> Bools:
    """Tell for each of (n, 4) windows (x0, y0, x1, y1) whether a closed outline has area in it."""
    region = shapely.Polygon(flatten(outline, _FLATNESS).points).buffer(0)
    boxes: NDArray[np.object_] = np.array(
        [shapely.box(*window) for window in np.asarray(windows).tolist()]
    )
    shapely.prepare(region)
    areas = np.asarray(shapely.area(shapely.intersection(region, boxes)))
    return areas > _AREA


def narrow_angle(outline: Chain) -> float:
    """Give the direction, radians, of the longer side of the smallest rectangle around."""
    points = flatten(outline, _FLATNESS).points
    around = shapely.MultiPoint(points).minimum_rotated_rectangle
    sides: Floats = np.diff(shapely.get_coordinates(around), axis=0)
    longest = sides[int(np.hypot(*sides.T).argmax())]
    return math.atan2(longest[1], longest[0])
