"""NURBS to cubics: exact for plain curves up to degree 3, within a tolerance for the others."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
from ezdxf.math import BSpline

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.points import Floats, Points

_TOLERANCE = 1e-5
_DEEPEST = 14


def spline_chain(spline: BSpline, per_unit: float, *, closed: bool) -> Chain:
    """Give a spline, in drawing units, as cubics in the same units.

    Rational curves and degrees above 3 stay within 1e-5 mm (one unit is ``per_unit`` mm).
    """
    if not spline.is_rational and spline.degree <= 3 and not _is_periodic(spline):
        return _exact(spline, closed=closed)
    return _fitted(spline, _TOLERANCE / per_unit, closed=closed)


def _is_periodic(spline: BSpline) -> bool:
    return not spline.is_clamped


def _exact(spline: BSpline, *, closed: bool) -> Chain:
    joints: list[Floats] = []
    handles: list[Floats] = []
    end = np.zeros(2)
    for piece in spline.bezier_decomposition():
        control = np.array([(p.x, p.y) for p in piece])
        p0, p1, p2, p3 = _raised(control)
        joints.append(p0)
        handles.append(np.array([p1, p2]))
        end = p3
    return _chain(joints, handles, end, closed=closed)


def _raised(control: Floats) -> Floats:
    """Raise a Bézier of degree 1 or 2 to degree 3, which changes nothing but its form."""
    while len(control) < 4:
        degree = len(control)
        share = (np.arange(1, degree) / degree)[:, None]
        inner = share * control[:-1] + (1 - share) * control[1:]
        control = np.concatenate([control[:1], inner, control[-1:]])
    return control


def _fitted(spline: BSpline, tolerance: float, *, closed: bool) -> Chain:
    """Lay Hermite cubics between knots, halved until their middles are near enough."""
    knots = np.unique(np.array(spline.knots()))
    low, high = knots[spline.degree - 1 if _is_periodic(spline) else 0], spline.max_t
    knots = knots[(knots >= low) & (knots <= high)]

    def at(t: float) -> tuple[Floats, Floats]:
        point, slope = spline.derivative(float(t), 1)
        return np.array([point.x, point.y]), np.array([slope.x, slope.y])

    joints: list[Floats] = []
    handles: list[Floats] = []
    for first, last in pairwise(knots.tolist()):
        _lay(at, (first, last), tolerance, 0, joints, handles)
    return _chain(joints, handles, at(float(knots[-1]))[0], closed=closed)


def _lay(
    at: Callable[[float], tuple[Floats, Floats]],
    span: tuple[float, float],
    tolerance: float,
    depth: int,
    joints: list[Floats],
    handles: list[Floats],
) -> None:
    first, last = span
    (p0, d0), (p3, d3) = at(first), at(last)
    third = (last - first) / 3
    p1, p2 = p0 + d0 * third, p3 - d3 * third
    worst = 0.0
    for share in (0.25, 0.5, 0.75):
        s = 1 - share
        on = s**3 * p0 + 3 * s * s * share * p1 + 3 * s * share**2 * p2 + share**3 * p3
        true = at(first + share * (last - first))[0]
        worst = max(worst, float(np.hypot(*(on - true))))
    if worst <= tolerance or depth >= _DEEPEST:
        joints.append(p0)
        handles.append(np.array([p1, p2]))
        return
    middle = (first + last) / 2
    _lay(at, (first, middle), tolerance, depth + 1, joints, handles)
    _lay(at, (middle, last), tolerance, depth + 1, joints, handles)


def _chain(joints: list[Floats], handles: list[Floats], end: Points, *, closed: bool) -> Chain:
    meets = float(np.hypot(*(end - joints[0]))) <= 1e-9 * (1 + float(np.abs(end).max()))
    if closed and meets:
        return make_chain(joints, None, handles, closed=True)
    return make_chain([*joints, end], None, handles)
