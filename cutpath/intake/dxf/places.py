"""From object and block coordinates to the plan of the drawing.

A ``Frame`` is a 3 × 4 affine matrix. The third dimension matters even for flat drawings: entities
mirrored in a CAD program are often stored with their plane's normal turned to −z.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from ezdxf.entities import Insert, Polyline
from ezdxf.math import OCS, Vec3

from cutpath.geometry.points import Floats
from cutpath.geometry.transform import Matrix
from cutpath.intake.dxf.entities import IN_OCS, Entity

Frame = Floats

ObjectPlane = tuple[float, float, float, float]
"""The normal of an object coordinate system and the height of an entity above its origin."""
_TILT = 1e-3
"""Planes that rise less are as good as flat: they foreshorten by half a millionth at most."""


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """Where entities are drawn: their frame and the blocks that they lie in.

    ``layer`` is what layer 0 takes on in a block; ``group`` names the outermost block.
    """

    frame: Frame
    layer: str = ""
    group: str = ""
    blocks: tuple[str, ...] = ()


def scaled_frame(factor: float) -> Frame:
    """Give the frame that scales evenly by ``factor``."""
    return np.hstack([np.eye(3) * factor, np.zeros((3, 1))])


def nested(outer: Frame, inner: Frame) -> Frame:
    """Give the product: ``inner`` acts first."""
    linear = outer[:, :3] @ inner[:, :3]
    shift = outer[:, :3] @ inner[:, 3] + outer[:, 3]
    return np.column_stack([linear, shift])


def plan(frame: Frame, elevation: float = 0.0) -> Matrix:
    """Give the 2 × 3 matrix that maps the frame's plane at ``elevation`` to the plan view."""
    return np.column_stack([frame[:2, :2], frame[:2, 2] * elevation + frame[:2, 3]])


def is_tilted(frame: Frame) -> bool:
    """Tell whether the frame's plane is not parallel to the plan."""
    flat, rise = np.abs(frame[:2, :2]).max(), np.abs(frame[2, :2]).max()
    return bool(rise > _TILT * flat)


def object_frame(extrusion: Vec3) -> Frame:
    """Give the frame of the plane with normal ``extrusion`` (arbitrary axis rule, DXF reference).

    Raises ValueError for a normal of no length.
    """
    if extrusion.magnitude < 1e-12:
        raise ValueError("its extrusion direction has no length")
    ocs = OCS(extrusion)
    columns = [(axis.x, axis.y, axis.z) for axis in (ocs.ux, ocs.uy, ocs.uz)]
    return np.column_stack([*columns, (0.0, 0.0, 0.0)])


def insert_frames(insert: Insert, base: Vec3) -> Iterator[Frame]:
    """Give the frames from block to object coordinates, one for each cell of an array.

    The spacing of an array turns with the insert but is not scaled (DXF reference, INSERT).
    Raises ValueError for a scale of nothing or numbers that are not finite.
    """
    dxf = insert.dxf
    scales = [float(dxf.get(f"{axis}scale", 1.0)) for axis in "xyz"]
    if scales[0] == 0 or scales[1] == 0:
        raise ValueError("it is scaled to nothing")
    angle = np.radians(dxf.get("rotation", 0.0))
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
    linear = turn @ np.diag(scales)
    at = np.array(dxf.insert.xyz) - linear @ np.array(base.xyz)
    across, up = float(dxf.get("column_spacing", 0.0)), float(dxf.get("row_spacing", 0.0))
    if not np.isfinite([*linear.ravel(), *at, across, up]).all():
        raise ValueError("a number in it is not finite")
    for row in range(max(1, int(dxf.get("row_count", 1)))):
        for column in range(max(1, int(dxf.get("column_count", 1)))):
            shift = turn @ np.array([column * across, row * up, 0.0])
            yield np.column_stack([linear, at + shift])


def plane_of(entity: Entity, kind: str) -> ObjectPlane | None:
    """Give the plane that an entity's numbers count in; None when that is the world's."""
    if kind not in IN_OCS:
        return None
    normal = entity.dxf.get("extrusion")
    if normal is None or (normal.x == 0 and normal.y == 0 and normal.z > 0):
        return None
    if isinstance(entity, Polyline) and entity.is_3d_polyline:
        return None
    return normal.x, normal.y, normal.z, _elevation(entity, kind)


def frame_of(plane: ObjectPlane | None, place: Place) -> Frame:
    """Give the frame that leads from ``plane``'s plane, or the world's, to mm."""
    return place.frame if plane is None else nested(place.frame, object_frame(Vec3(plane[:3])))


def _elevation(entity: Entity, kind: str) -> float:
    if kind in {"CIRCLE", "ARC"}:
        return float(entity.dxf.center.z)
    if kind == "LWPOLYLINE":
        return float(entity.dxf.get("elevation", 0.0))
    if kind == "POLYLINE":
        return float(Vec3(entity.dxf.get("elevation", (0, 0, 0))).z)
    return float(entity.dxf.insert.z)
