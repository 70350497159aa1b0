"""Which points lie inside an outline: by shapely."""

from __future__ import annotations

import numpy as np
import shapely

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Bools, Points


class Inclusion:
    """An outline made ready to be asked often; a point on the border is not inside."""

    def __init__(self, outline: Chain, flatness: float) -> None:
        """Take a closed ``outline``, as straight pieces within ``flatness`` mm of it."""
        points = flatten(outline, flatness).points
        shape = shapely.Polygon(points) if len(points) >= 3 else shapely.Polygon()
        self._shape = shape if shape.is_valid else shape.buffer(0)
        shapely.prepare(self._shape)

    def holds(self, points: Points) -> Bools:
        """Tell for each of (n, 2) ``points`` whether it lies inside, (n,)."""
        return np.asarray(shapely.contains_xy(self._shape, points[:, 0], points[:, 1]))
