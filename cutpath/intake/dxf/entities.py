"""One DXF entity to chains, in its own coordinate system's plane, in drawing units.

Arcs and bulges are taken exactly, never through a library's Bézier paths. Each function gives the
chains and, where the entity is drawn in an object coordinate system, leaves it to the walk to turn
them into the world's (see ``walking``).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from ezdxf.entities import (
    LWPolyline,
    Polyline,
    Spline,
)
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.math import BSpline, Vec3, fit_points_to_cad_cv

from cutpath.geometry.chain import (
    Chain,
    arc,
    circle,
    closed_up,
    line,
    make_chain,
    split_wide_arcs,
)
from cutpath.geometry.points import Floats
from cutpath.geometry.transform import transformed
from cutpath.intake.dxf.splines import spline_chain

Maker = Callable[[DXFGraphic, float], list[Chain]]
"""From an entity and the mm of one drawing unit to its chains."""

_SPLINE_FRAME = 16
_SPLINE_DRAWN = 8
_CLOSED = 1


def _line(entity: DXFGraphic, _: float) -> list[Chain]:
    start, end = entity.dxf.start, entity.dxf.end
    return [line((start.x, start.y), (end.x, end.y))]


def _circle(entity: DXFGraphic, _: float) -> list[Chain]:
    center, radius = entity.dxf.center, abs(entity.dxf.radius)
    return [circle((center.x, center.y), radius)] if radius > 0 else []


def _arc(entity: DXFGraphic, _: float) -> list[Chain]:
    center, radius = entity.dxf.center, abs(entity.dxf.radius)
    start, end = entity.dxf.start_angle, entity.dxf.end_angle
    sweep = (end - start) % 360.0
    if radius <= 0:
        return []
    if math.isclose(sweep, 0.0, abs_tol=1e-12):
        return [circle((center.x, center.y), radius)]
    return [arc((center.x, center.y), radius, math.radians(start), math.radians(sweep))]


def _ellipse(entity: DXFGraphic, _: float) -> list[Chain]:
    """P(u) = C + cos u · major + sin u · minor, u the parameter, not an angle (DXF reference)."""
    center, major, minor = entity.dxf.center, entity.dxf.major_axis, entity.minor_axis  # type: ignore[attr-defined]
    start, end = entity.dxf.start_param, entity.dxf.end_param
    sweep = (end - start) % math.tau
    full = math.isclose(sweep, 0.0, abs_tol=1e-9) or math.isclose(sweep, math.tau, abs_tol=1e-9)
    unit = circle((0, 0), 1.0) if full else arc((0, 0), 1.0, start, sweep)
    matrix = np.array([[major.x, minor.x, center.x], [major.y, minor.y, center.y]])
    return [transformed(unit, matrix)]


def _lwpolyline(entity: DXFGraphic, _: float) -> list[Chain]:
    assert isinstance(entity, LWPolyline)
    rows = np.array(entity.get_points("xyb"), dtype=np.float64).reshape(-1, 3)
    return _with_bulges(rows, closed=bool(entity.closed))


def _polyline(entity: DXFGraphic, _: float) -> list[Chain]:
    """Give an old polyline; the control frame of a spline-fit one is not part of the curve."""
    assert isinstance(entity, Polyline)
    if entity.is_poly_face_mesh or entity.is_polygon_mesh:
        return []
    vertices = [v for v in entity.vertices if not v.dxf.flags & _SPLINE_FRAME]
    rows = np.array(
        [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in vertices],
        dtype=np.float64,
    ).reshape(-1, 3)
    return _with_bulges(rows, closed=bool(entity.dxf.flags & _CLOSED))


def _with_bulges(rows: Floats, *, closed: bool) -> list[Chain]:
    if len(rows) < 2:
        return []
    bulges = rows if closed else rows[:-1]
    chain = split_wide_arcs(make_chain(rows[:, :2], bulges[:, 2], closed=closed))
    if not closed and len(chain) > 2 and np.array_equal(chain.first, chain.last):
        chain = closed_up(chain)
    return [chain]


def _spline(entity: DXFGraphic, per_unit: float) -> list[Chain]:
    assert isinstance(entity, Spline)
    if len(entity.control_points):
        spline = entity.construction_tool()
    else:
        spline = _through_fit_points(entity)
    return [spline_chain(spline, per_unit, closed=bool(entity.closed))]


def _through_fit_points(entity: Spline) -> BSpline:
    points = [Vec3(point) for point in entity.fit_points]
    tangents = None
    if entity.dxf.hasattr("start_tangent") and entity.dxf.hasattr("end_tangent"):
        tangents = [Vec3(entity.dxf.start_tangent), Vec3(entity.dxf.end_tangent)]
    return fit_points_to_cad_cv(points, tangents)


MAKERS: dict[str, Maker] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "SPLINE": _spline,
}
"""Entities that are lines on the drawing."""
IN_OCS = frozenset({"CIRCLE", "ARC", "LWPOLYLINE", "POLYLINE", "TEXT", "ATTRIB", "INSERT"})
"""Entities whose numbers count in their own object coordinate system."""
TEXTS = frozenset({"TEXT", "MTEXT", "ATTRIB"})
SILENT = frozenset({"HATCH", "DIMENSION", "LEADER", "MULTILEADER", "MLEADER", "VIEWPORT", "ATTDEF",
                    "SEQEND", "VERTEX", "IMAGE", "WIPEOUT", "SOLID"})  # fmt: skip
"""Entities that never are part of an outline; they are passed over."""
