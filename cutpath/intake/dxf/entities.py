"""One DXF entity to the numbers of its curve, in its own plane, in drawing units.

Arcs and bulges are taken exactly, never through a library's Bézier paths. Where the entity counts
in an object coordinate system, turning it into the world's is left to the walk (``walking``).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from ezdxf.entities import DXFTagStorage, Ellipse, LWPolyline, Polyline, Spline

from cutpath.geometry.chain import Chain, arc, circle, make_chain, split_wide_arcs
from cutpath.geometry.transform import Matrix, compose, transformed
from cutpath.intake.dxf.fit_points import fit_point_chain
from cutpath.intake.dxf.splines import spline_chain

Entity = Any
"""A graphic entity of ezdxf: its attributes are only known at run time."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A run of lines and arcs: joints and the bulge that leaves each, as many when it is open."""

    xs: list[float]
    ys: list[float]
    bulges: list[float]
    closed: bool


_SPLINE_FRAME = 16
_CLOSED = 1
_HALF_TURN = 180.0


def _line(entity: Entity) -> Outline:
    start, end = entity.dxf.start, entity.dxf.end
    return Outline([start.x, end.x], [start.y, end.y], [0.0, 0.0], closed=False)


def _circle(entity: Entity) -> Outline | None:
    return _round(entity.dxf.center, entity.dxf.radius, 0.0, 2 * _HALF_TURN)


def _arc(entity: Entity) -> Outline | None:
    dxf = entity.dxf
    sweep = (dxf.end_angle - dxf.start_angle) % 360.0
    if math.isclose(sweep, 0.0, abs_tol=1e-12):
        sweep = 360.0
    return _round(dxf.center, dxf.radius, dxf.start_angle, sweep)


def _round(center: Entity, size: float, start: float, sweep: float) -> Outline | None:
    """Give an arc, in degrees, in parts of at most half a turn; None when it has no radius."""
    radius = abs(size)
    if radius == 0:
        return None
    closed = sweep >= 2 * _HALF_TURN
    parts = 1 if sweep <= _HALF_TURN + 1e-9 else 2
    step = math.radians(sweep) / parts
    angles = [math.radians(start) + step * part for part in range(parts if closed else parts + 1)]
    return Outline(
        [center.x + radius * math.cos(angle) for angle in angles],
        [center.y + radius * math.sin(angle) for angle in angles],
        [math.tan(step / 4)] * len(angles),
        closed,
    )


def _lwpolyline(entity: Entity) -> Outline | None:
    assert isinstance(entity, LWPolyline)
    # Each vertex is x, y, start width, end width and bulge.
    xs, ys, _, _, bulges = np.asarray(entity.lwpoints.values).reshape(-1, 5).T.tolist()
    return _polygon(Outline(xs, ys, bulges, closed=entity.closed))


def _polyline(entity: Entity) -> Outline | None:
    """Give an old polyline; the control frame of a spline-fit one is not part of the curve."""
    assert isinstance(entity, Polyline)
    if entity.is_poly_face_mesh or entity.is_polygon_mesh:
        return None
    vertices = [v.dxf for v in entity.vertices if not v.dxf.flags & _SPLINE_FRAME]
    places = [dxf.location for dxf in vertices]
    bulges = [dxf.get("bulge", 0.0) for dxf in vertices]
    closed = bool(entity.dxf.flags & _CLOSED)
    return _polygon(Outline([p.x for p in places], [p.y for p in places], bulges, closed))


def _polygon(outline: Outline) -> Outline | None:
    xs, ys, bulges = outline.xs, outline.ys, outline.bulges
    if len(xs) < 2:
        return None
    if not outline.closed and len(xs) > 3 and xs[0] == xs[-1] and ys[0] == ys[-1]:
        outline = Outline(xs[:-1], ys[:-1], bulges[:-1], closed=True)
    if any(abs(bulge) > 1.0 for bulge in outline.bulges):
        return _halved(outline)
    return outline


def _halved(outline: Outline) -> Outline:
    """Give the outline with arcs of more than half a turn parted in the middle."""
    points = np.column_stack([outline.xs, outline.ys])
    count = len(points) if outline.closed else len(points) - 1
    if not np.isfinite(points).all() or not np.isfinite(outline.bulges).all():
        return outline  # told, with its place, where all numbers are looked at
    chain = split_wide_arcs(make_chain(points, outline.bulges[:count], closed=outline.closed))
    xs, ys = chain.points.T.tolist()
    bulges = chain.bulges.tolist() + ([] if outline.closed else [0.0])
    return Outline(xs, ys, bulges, outline.closed)


def _ellipse(entity: Entity, plane: Matrix) -> Chain:
    """P(u) = C + cos u · major + sin u · minor, u the parameter, not an angle (DXF reference)."""
    assert isinstance(entity, Ellipse)
    center, major, minor = entity.dxf.center, entity.dxf.major_axis, entity.minor_axis
    start, end = entity.dxf.start_param, entity.dxf.end_param
    sweep = (end - start) % math.tau
    full = math.isclose(sweep, 0.0, abs_tol=1e-9) or math.isclose(sweep, math.tau, abs_tol=1e-9)
    unit = circle((0, 0), 1.0) if full else arc((0, 0), 1.0, start, sweep)
    own = np.array([[major.x, minor.x, center.x], [major.y, minor.y, center.y]])
    return transformed(unit, compose(plane, own))


def _spline(entity: Entity, plane: Matrix) -> Chain:
    assert isinstance(entity, Spline)
    stretch = float(np.linalg.norm(plane[:, :2], 2))
    if len(entity.control_points):
        tool = entity.construction_tool()
        return transformed(spline_chain(tool, stretch, closed=bool(entity.closed)), plane)
    return transformed(fit_point_chain(entity, stretch), plane)


OUTLINES: dict[str, Callable[[Entity], Outline | None]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
}
"""Entities of lines and arcs alone; None for one that is no curve (a mesh, a radius of 0)."""
CURVES: dict[str, Callable[[Entity, Matrix], Chain]] = {"ELLIPSE": _ellipse, "SPLINE": _spline}
"""Entities of cubics, with the matrix that leads from the entity's plane to mm."""
IN_OCS = frozenset({"CIRCLE", "ARC", "LWPOLYLINE", "POLYLINE", "TEXT", "ATTRIB", "INSERT"})
"""Entities whose numbers count in their own object coordinate system."""
TEXTS = frozenset({"TEXT", "MTEXT", "ATTRIB"})
SILENT = frozenset({"HATCH", "DIMENSION", "LEADER", "MULTILEADER", "MLEADER", "VIEWPORT", "ATTDEF",
                    "SEQEND", "VERTEX", "IMAGE", "WIPEOUT", "SOLID"})  # fmt: skip
"""Entities that never are part of an outline; they are passed over."""


def is_unknown(entity: Entity) -> bool:
    """Tell an entity of a kind that ezdxf does not know, with raw tags in place of attributes."""
    return isinstance(entity, DXFTagStorage)
