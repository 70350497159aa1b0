"""Outlines in user units to chains in mm, exactly."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.transform import Matrix, cubic_arc_error, is_mirroring, is_similarity
from cutpath.intake.svg.outline import XY, Frame, Outline, solved

_TOLERANCE = 1e-5
"""How far, mm, a cubic may be from the elliptical arc that it stands for."""
_ROUND = 1e-9
_Handles = Sequence[Sequence[float]]


def placed(outline: Outline, matrix: Matrix) -> Chain:
    """Give ``outline`` under ``matrix``; arcs that come out circular stay arcs.

    Elliptical ones become cubics within 1e-5 mm. Raises ValueError when a coordinate is not finite.
    """
    linear, shift = matrix[:, :2].T, matrix[:, 2]
    points = np.array(outline.points, dtype=np.float64) @ linear + shift
    count = len(outline.bulges)
    bulges = np.array(outline.bulges)
    handles = np.full((count, 2, 2), np.nan)
    if outline.handles:
        pairs = np.array(list(outline.handles.values()))
        handles[list(outline.handles)] = pairs @ linear + shift
    if is_mirroring(matrix):
        bulges = -bulges
    if outline.frames or (bulges.any() and not is_similarity(matrix)):
        return _stretched(outline, points.tolist(), handles.tolist(), matrix)
    return make_chain(points, bulges, handles, closed=outline.closed)


def _stretched(
    outline: Outline, points: Sequence[XY], handles: Sequence[_Handles], matrix: Matrix
) -> Chain:
    """Place segment by segment: each arc has its own space, in which it is circular."""
    (a, c), (b, d) = matrix[:, :2].tolist()
    sign = math.copysign(1.0, a * d - b * c)
    joints: list[XY] = []
    bent: list[float] = []
    curved: list[_Handles] = []
    for index, bulge in enumerate(outline.bulges):
        start, end = points[index], points[(index + 1) % len(points)]
        (e, g), (f, h) = outline.frames.get(index, ((1.0, 0.0), (0.0, 1.0)))
        frame = (a * e + c * f, a * g + c * h), (b * e + d * f, b * g + d * h)
        joints.append(start)
        if bulge == 0 or _is_round(frame):
            bent.append(sign * bulge)
            curved.append(handles[index])
            continue
        between, inner = _cubics(frame, start, end, bulge)
        joints += between
        bent += [0.0] * len(inner)
        curved += inner
    if not outline.closed:
        joints.append(points[-1])
    return make_chain(joints, bent, np.array(curved), closed=outline.closed)


def _is_round(frame: Frame) -> bool:
    """Tell whether the unit circle stays a circle, mirrored or not, under ``frame``."""
    (a, c), (b, d) = frame
    within = _ROUND * max(abs(a), abs(b), abs(c), abs(d))
    return (abs(a - d) <= within and abs(b + c) <= within) or (
        abs(a + d) <= within and abs(b - c) <= within
    )


def _cubics(
    frame: Frame, start: XY, end: XY, bulge: float
) -> tuple[Sequence[XY], Sequence[_Handles]]:
    """Give inner joints and handles of the cubics for a circular arc seen through ``frame``."""
    chord = complex(*solved(frame, end[0] - start[0], end[1] - start[1]))
    centre = chord * complex(0.5, (1 - bulge * bulge) / (4 * bulge))
    sweep, radius = 4 * math.atan(bulge), abs(centre)
    if not math.isfinite(radius):
        raise ValueError("an arc of it is too flat to be measured")
    parts = 1
    while cubic_arc_error(radius, sweep / parts) * _stretch(frame) > _TOLERANCE:
        parts += 1
    turn = cmath.rect(1.0, sweep / parts)
    reach = 4j / 3 * math.tan(sweep / parts / 4)
    (a, c), (b, d) = frame

    def laid(at: complex) -> XY:
        return start[0] + a * at.real + c * at.imag, start[1] + b * at.real + d * at.imag

    joints: list[XY] = []
    handles: list[_Handles] = []
    spoke = -centre
    for _ in range(parts):
        ahead = spoke * turn
        handles.append((laid(centre + spoke + reach * spoke), laid(centre + ahead - reach * ahead)))
        joints.append(laid(centre + ahead))
        spoke = ahead
    return joints[:-1], handles


def _stretch(frame: Frame) -> float:
    """Give the largest factor by which ``frame`` lengthens (its larger singular value)."""
    (a, c), (b, d) = frame
    return (math.hypot(a + d, b - c) + math.hypot(a - d, b + c)) / 2
