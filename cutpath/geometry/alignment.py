"""The best rigid motion that brings one run of points onto another."""

from __future__ import annotations

import math

import numpy as np

from cutpath.geometry.points import Floats, Points
from cutpath.geometry.transform import Matrix, compose, moved_points, rotation, scaling, translation


def best_motion(moving: Points, fixed: Points, *, mirrored: bool = False) -> Matrix:
    """Give the turn and shift that lay ``moving`` on ``fixed``, (n, 2) each, with least squares.

    With ``mirrored`` the points are turned over too. In the plane the best turn has a closed form:
    the angle of Σ conj(a) b over both sets about their centroids, as complex numbers (the plane's
    case of Kabsch, Acta Cryst. A32, 1976, and of orthogonal Procrustes with det = ±1).

    Raises ValueError when the counts differ or there are no points.
    """
    if moving.shape != fixed.shape or not len(moving):
        raise ValueError("as many moving points as fixed ones are needed, at least one")
    flip = scaling(1.0, -1.0 if mirrored else 1.0)
    own = moved_points(moving, flip)
    from_own, from_fixed = own.mean(axis=0), fixed.mean(axis=0)
    a, b = own - from_own, fixed - from_fixed
    angle = math.atan2(float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])), float(np.sum(a * b)))
    return compose(translation(*from_fixed), rotation(angle), translation(*-from_own), flip)


def gaps_after(moving: Points, fixed: Points, motion: Matrix) -> Floats:
    """Give the distance left between each pair after ``motion``, (n,) mm."""
    away = moved_points(moving, motion) - fixed
    return np.asarray(np.hypot(away[:, 0], away[:, 1]))
