"""NURBS to cubics: exact for plain curves up to degree 3, within a tolerance for the others."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from ezdxf.math import BSpline

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.points import Floats, Points

_TOLERANCE = 1e-5
_DEEPEST = 14
_INSIDE = 1e-9
"""Share of a span by which slopes are taken inside it: a spline may have a corner at a knot."""
_PROBES = np.array([1 / 8, 1 / 4, 3 / 8, 1 / 2, 5 / 8, 3 / 4, 7 / 8])


class NotFiniteError(ValueError):
    """A number of a curve is not finite."""


def spline_chain(spline: BSpline, per_unit: float, *, closed: bool) -> Chain:
    """Give a spline, in drawing units, as cubics in the same units.

    Rational curves, degrees above 3 and splines whose ends are not clamped stay within 1e-5 mm
    (one unit is ``per_unit`` mm). Raises NotFiniteError for numbers that are not finite.
    """
    numbers = [value for point in spline.control_points for value in point.xyz]
    if not np.isfinite([*numbers, *spline.knots(), *spline.weights()]).all():
        raise NotFiniteError
    if spline.is_clamped and not spline.is_rational and spline.degree <= 3:
        return _exact(spline, closed=closed)
    return _fitted(spline, _TOLERANCE / per_unit, closed=closed)


def _exact(spline: BSpline, *, closed: bool) -> Chain:
    pieces = [
        _raised(np.array([(point.x, point.y) for point in piece]))
        for piece in spline.bezier_decomposition()
    ]
    joints = [piece[0] for piece in pieces]
    handles = [piece[1:3] for piece in pieces]
    return _chain(joints, handles, pieces[-1][3], closed=closed)


def _raised(control: Floats) -> Floats:
    """Raise a Bézier of degree 1 or 2 to degree 3, which changes nothing but its form."""
    while len(control) < 4:
        degree = len(control)
        share = (np.arange(1, degree) / degree)[:, None]
        inner = share * control[:-1] + (1 - share) * control[1:]
        control = np.concatenate([control[:1], inner, control[-1:]])
    return control


def _fitted(spline: BSpline, tolerance: float, *, closed: bool) -> Chain:
    """Lay Hermite cubics between knots, halved until they are near enough everywhere probed."""
    knots, degree = spline.knots(), spline.degree
    # A spline is drawn between its knots number p and n, of n control points and degree p; beyond
    # them, where it is not clamped, too few control points have a say.
    low, high = knots[degree], knots[spline.count]
    inner = sorted({knot for knot in knots if low < knot < high})
    laying = _Laying(spline, tolerance)
    for first, last in pairwise([low, *inner, high]):
        laying.lay(first, last)
    return _chain(laying.joints, laying.handles, laying.point(high), closed=closed)


@dataclass(slots=True, eq=False)
class _Laying:
    """Cubics laid so far along a spline."""

    spline: BSpline
    tolerance: float
    joints: list[Points] = field(default_factory=list)
    handles: list[Points] = field(default_factory=list)

    def point(self, at: float) -> Points:
        point = self.spline.point(at)
        return np.array([point.x, point.y])

    def _slope(self, at: float) -> Points:
        slope = self.spline.derivative(at, 1)[1]
        return np.array([slope.x, slope.y])

    def lay(self, first: float, last: float, depth: int = 0) -> None:
        """Lay cubics over one span, the first and last parameter."""
        span = last - first
        p0, p3 = self.point(first), self.point(last)
        p1 = p0 + self._slope(first + _INSIDE * span) * (span / 3)
        p2 = p3 - self._slope(last - _INSIDE * span) * (span / 3)
        if depth >= _DEEPEST or self._gap([p0, p1, p2, p3], first, span) <= self.tolerance:
            self.joints.append(p0)
            self.handles.append(np.array([p1, p2]))
            return
        middle = (first + last) / 2
        self.lay(first, middle, depth + 1)
        self.lay(middle, last, depth + 1)

    def _gap(self, cubic: list[Points], first: float, span: float) -> float:
        t = _PROBES[:, None]
        p0, p1, p2, p3 = cubic
        s = 1 - t
        on = s**3 * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t**3 * p3
        true = [(p.x, p.y) for p in self.spline.points((first + _PROBES * span).tolist())]
        return float(np.hypot(*(on - true).T).max())


def _chain(joints: list[Points], handles: list[Points], end: Points, *, closed: bool) -> Chain:
    meets = float(np.hypot(*(end - joints[0]))) <= 1e-9 * (1 + float(np.abs(end).max()))
    if closed and meets:
        return make_chain(joints, None, handles, closed=True)
    return make_chain([*joints, end], None, handles)
