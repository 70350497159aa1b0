"""What the layer knows of a piece: its outline with half the gap, once for every turn allowed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.geometry.measure import bounds, signed_area
from cutpath.geometry.nofit import Ring, as_path
from cutpath.geometry.outward import grown
from cutpath.geometry.transform import (
    Matrix,
    compose,
    inverse,
    moved_points,
    rotation,
    transformed,
)
from cutpath.model import Piece

SLACK = 0.003
"""More than half the gap asks for, mm: covers rounding to micrometres."""
EDGE = 0.05
"""How far a piece may lie over the edge of the usable cloth, mm: so that pieces which just fill it,
with all their slack, still do. No cloth's edge is known as well."""
TRACED = math.radians(0.1)
"""How far off a traced grain line may be, radians: nobody lays cloth straighter."""


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """A shape turned one way, its cut line's least corner at the origin; lengths in mm.

    ``outline`` holds all within half the gap; ``level`` is how far along the roll the mark lies
    that is kept level with others.
    """

    turn: float
    outline: Ring
    length: float
    width: float
    level: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """One piece to be laid, in every way that it may lie. ``area`` is the cut line's, mm²."""

    piece: str
    poses: tuple[Pose, ...]
    area: float


def shapes_of(
    pieces: Sequence[Piece], turns: Sequence[float], gap: float, waste: float = 0.002
) -> tuple[Shape, ...]:
    """Give the shapes of ``pieces``; like pieces share their poses, which saves much work."""
    made: dict[tuple[object, ...], tuple[Pose, ...]] = {}
    out = []
    for piece in pieces:
        key = _likeness(piece)
        if key not in made:
            made[key] = _poses(piece, turns, gap, waste)
        out.append(Shape(piece.name, made[key], abs(signed_area(piece.cut))))
    return tuple(out)


def _likeness(piece: Piece) -> tuple[object, ...]:
    cut = piece.cut
    level = None if piece.level is None else piece.level.tobytes()
    return cut.points.tobytes(), cut.bulges.tobytes(), cut.handles.tobytes(), piece.grain, level


def warp_turn(piece: Piece, turn: float) -> Matrix:
    """Give the turn that lays the piece's warp along the roll and then turns it by ``turn``.

    Without a grain line the drawing's x is taken for the warp. What is a hair off a quarter turn
    becomes one, so that straight edges stay straight to the last digit.
    """
    quarter, near = _quarter(piece.grain or 0.0)
    angle = math.fmod(turn - (quarter * math.pi / 2 if near else piece.grain or 0.0), math.tau)
    matrix = rotation(angle)
    quarter, near = _quarter(angle)
    if near:
        cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter % 4]
        matrix[:, :2] = ((cos, -sin), (sin, cos))
    return matrix


def _quarter(angle: float) -> tuple[int, bool]:
    """Give the nearest quarter turn, and whether ``angle`` is that to within what tracing is."""
    quarter = round(angle / (math.pi / 2))
    return quarter, abs(angle - quarter * math.pi / 2) < TRACED


def _poses(piece: Piece, turns: Sequence[float], gap: float, waste: float) -> tuple[Pose, ...]:
    """Grow the outline once and turn it, so that all poses are the same shape."""
    first = transformed(piece.cut, warp_turn(piece, turns[0]))
    outline = grown(first, gap / 2 + SLACK, waste)
    out = []
    for turn in turns:
        matrix = warp_turn(piece, turn)
        low_x, low_y, high_x, high_y = bounds(transformed(piece.cut, matrix))
        onward = compose(matrix, inverse(warp_turn(piece, turns[0])))
        path = as_path(moved_points(outline, onward) - (low_x, low_y))
        level = None
        if piece.level is not None:
            level = float(moved_points(piece.level[None], matrix)[0][0]) - low_x
        out.append(Pose(turn, Ring.of(path), high_x - low_x, high_y - low_y, level))
    return tuple(out)
