"""Moving, turning, mirroring and stretching chains by 2 × 3 affine matrices.

A matrix [[a, c, e], [b, d, f]] maps (x, y) to (a x + c y + e, b x + d y + f), the same order of
letters as in SVG's matrix().
"""

from __future__ import annotations

import math

import numpy as np

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.points import Floats, Point, Points, locked

Matrix = Floats

_CUBIC_TOLERANCE = 1e-5
"""How far, mm, a cubic may be from the arc that it stands for."""


def identity() -> Matrix:
    """Give the matrix that changes nothing."""
    return np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])


def translation(dx: float, dy: float) -> Matrix:
    """Give a shift by (dx, dy) mm."""
    return np.array([[1.0, 0.0, dx], [0.0, 1.0, dy]])


def scaling(sx: float, sy: float | None = None) -> Matrix:
    """Give a scaling about the origin; negative factors mirror."""
    return np.array([[sx, 0.0, 0.0], [0.0, sx if sy is None else sy, 0.0]])


def rotation(angle: float, about: Point | None = None) -> Matrix:
    """Give a turn by ``angle`` radians counter-clockwise about a point, the origin by default."""
    cos, sin = math.cos(angle), math.sin(angle)
    turn = np.array([[cos, -sin, 0.0], [sin, cos, 0.0]])
    if about is not None:
        turn[:, 2] = about - turn[:, :2] @ about
    return turn


def reflection(through: Point, along: Floats) -> Matrix:
    """Give the mirror image in the line ``through`` a point ``along`` a unit direction."""
    x, y = along
    part = np.array([[x * x - y * y, 2 * x * y], [2 * x * y, y * y - x * x]])
    return np.column_stack([part, through - part @ through])


def compose(*matrices: Matrix) -> Matrix:
    """Give the product: the rightmost acts first, as in a nested SVG transform."""
    # In plain numbers: ten times as quick as numpy for six of them, and drawings nest thousands.
    a, c, e, b, d, f = 1.0, 0.0, 0.0, 0.0, 1.0, 0.0
    for matrix in matrices:
        (g, i, k), (h, j, m) = matrix.tolist()
        e, f = a * k + c * m + e, b * k + d * m + f
        a, b, c, d = a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j
    return np.array([[a, c, e], [b, d, f]])


def inverse(matrix: Matrix) -> Matrix:
    """Give the matrix that takes back what ``matrix`` does. Raises LinAlgError for a flat one."""
    back = np.linalg.inv(matrix[:, :2])
    return np.column_stack([back, -back @ matrix[:, 2]])


def moved_points(points: Points, matrix: Matrix) -> Points:
    """Apply ``matrix`` to (n, 2) points."""
    return locked(points @ matrix[:, :2].T + matrix[:, 2])


def moved_angle(angle: float, matrix: Matrix) -> float:
    """Give the direction, radians in (−π, π], that ``matrix`` makes of the one at ``angle``."""
    x, y = matrix[:, :2] @ (math.cos(angle), math.sin(angle))
    return math.atan2(y, x)


def is_similarity(matrix: Matrix, within: float = 1e-9) -> bool:
    """Tell whether circles stay circles under ``matrix`` (to ``within`` of its scale)."""
    (a, c), (b, d) = matrix[:, :2]
    scale = max(abs(a), abs(b), abs(c), abs(d), 1e-300)
    same_handed = max(abs(a - d), abs(b + c))
    mirrored = max(abs(a + d), abs(b - c))
    return bool(min(same_handed, mirrored) <= within * scale)


def is_mirroring(matrix: Matrix) -> bool:
    """Tell whether ``matrix`` turns left hands into right ones."""
    (a, c), (b, d) = matrix[:, :2].tolist()
    return bool(a * d - b * c < 0)


def transformed(chain: Chain, matrix: Matrix) -> Chain:
    """Apply ``matrix`` to a chain; arcs stay arcs where they can, else become cubics.

    A mirror image keeps the direction of travel, so a counter-clockwise loop comes out clockwise.
    Raises ValueError when the result is not finite.
    """
    if not np.isfinite(matrix).all():
        raise ValueError("the transformation is not finite")
    if not chain.is_arc.any():
        handles = chain.handles
        if chain.is_cubic.any():
            handles = locked(handles @ matrix[:, :2].T + matrix[:, 2])
        return Chain(moved_points(chain.points, matrix), chain.bulges, handles, chain.closed)
    if not is_similarity(matrix) and chain.is_arc.any():
        # What is stretched later must be the closer before.
        stretch = max(float(np.linalg.norm(matrix[:, :2], 2)), 1e-12)
        chain = arcs_as_cubics(chain, _CUBIC_TOLERANCE / stretch)
    sign = -1.0 if is_mirroring(matrix) else 1.0
    handles = chain.handles @ matrix[:, :2].T + matrix[:, 2]
    return Chain(
        moved_points(chain.points, matrix),
        locked(sign * chain.bulges if sign < 0 else chain.bulges.copy()),
        locked(handles),
        chain.closed,
    )


def arcs_as_cubics(chain: Chain, tolerance: float = _CUBIC_TOLERANCE) -> Chain:
    """Replace arcs by cubics whose radius is off by at most ``tolerance`` mm.

    With handles of length 4/3 tan(θ/4) r, the radial error of a cubic over θ is close to
    r · (4/27) · sin⁶(θ/4) / cos²(θ/4); as θ⁶ it falls 64-fold with each halving
    (Goldapp, "Approximation of circular arcs by cubic polynomials", 1991, for the form; the
    bound is checked by dense sampling in the tests).
    """
    if not chain.is_arc.any():
        return chain
    center, radius, angle, sweep = arc_geometry(chain)
    joints: list[Floats] = []
    bulges: list[float] = []
    handles: list[Floats] = []
    for index in range(len(chain)):
        joints.append(chain.starts[index])
        if not chain.is_arc[index]:
            bulges.append(0.0)
            handles.append(chain.handles[index])
            continue
        parts = 1
        while cubic_arc_error(radius[index], sweep[index] / parts) > tolerance:
            parts += 1
        step = sweep[index] / parts
        at = angle[index] + step * np.arange(parts + 1)
        spoke = np.stack([np.cos(at), np.sin(at)], axis=1)
        on = center[index] + radius[index] * spoke
        on[0], on[-1] = chain.starts[index], chain.ends[index]
        reach = 4 / 3 * math.tan(step / 4) * radius[index]
        ahead = reach * np.stack([-spoke[:, 1], spoke[:, 0]], axis=1)
        joints += list(on[1:-1])
        bulges += [0.0] * parts
        handles += list(np.stack([on[:-1] + ahead[:-1], on[1:] - ahead[1:]], axis=1))
    if not chain.closed:
        joints.append(chain.points[-1])
    return make_chain(joints, bulges, handles, closed=chain.closed)


def cubic_arc_error(radius: float, sweep: float) -> float:
    """Give the radial error of one cubic over ``sweep`` radians; see ``arcs_as_cubics``."""
    quarter = abs(sweep) / 4
    return radius * 4 / 27 * math.sin(quarter) ** 6 / math.cos(quarter) ** 2
