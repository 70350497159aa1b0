"""Splines that are only known by the points that they pass."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from ezdxf.entities import Spline
from ezdxf.math import Vec3, fit_points_to_cad_cv

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.points import Points
from cutpath.intake.dxf.splines import NotFiniteError, spline_chain

_FARTHEST = 1e100
"""Squares of what lies beyond would overflow."""


def fit_point_chain(entity: Spline, per_unit: float) -> Chain:
    """Give the curve through an entity's fit points as cubics, in drawing units.

    Raises ValueError when fewer than two points differ, or a number is not finite.
    """
    points = [Vec3(point) for point in entity.fit_points]
    if points and not (np.abs([point.xyz for point in points]) < _FARTHEST).all():
        raise NotFiniteError
    if entity.closed and points:
        points.append(points[0])
    points = points[:1] + [after for before, after in pairwise(points) if not after.isclose(before)]
    if len(points) < 2:
        raise ValueError("it needs two points that differ")
    if entity.closed and len(points) > 3:
        return _closed_through(np.array([(point.x, point.y) for point in points[:-1]]))
    tangents = None
    if entity.dxf.hasattr("start_tangent") and entity.dxf.hasattr("end_tangent"):
        tangents = [Vec3(entity.dxf.start_tangent), Vec3(entity.dxf.end_tangent)]
    spline = fit_points_to_cad_cv(points, tangents)
    return spline_chain(spline, per_unit, closed=bool(entity.closed))


def _closed_through(points: Points) -> Chain:
    """Give the smooth closed cubic spline through (n, 2) points, with knots a chord apart.

    Its slopes m solve the cyclic equations of continuous second derivatives; with h the chord that
    leaves each point and d the step along it, a mark for the point before and one after:
    m⁻ / h⁻ + 2 m (1 / h⁻ + 1 / h) + m⁺ / h = 3 (d⁻ / h⁻² + d / h²).
    """
    count = len(points)
    step = np.roll(points, -1, axis=0) - points
    chord = np.hypot(step[:, 0], step[:, 1])
    before = np.roll(chord, 1)
    rows = np.arange(count)
    system = np.zeros((count, count))
    system[rows, rows] = 2 / before + 2 / chord
    system[rows, rows - 1] += 1 / before
    system[rows, (rows + 1) % count] += 1 / chord
    pull = step / chord[:, None] ** 2
    slopes = np.linalg.solve(system, 3 * (np.roll(pull, 1, axis=0) + pull))
    third = chord[:, None] / 3
    ahead = points + slopes * third
    behind = np.roll(points - slopes * np.roll(third, 1, axis=0), -1, axis=0)
    return make_chain(points, None, np.stack([ahead, behind], axis=1), closed=True)
