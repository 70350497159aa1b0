"""Every entity of a drawing, through blocks and coordinate systems, to curves, spots and texts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from ezdxf.document import Drawing as Document
from ezdxf.entities import Insert, Polyline
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.lldxf.const import DXFError
from ezdxf.math import OCS, Vec3

from cutpath.errors import InputError, Source
from cutpath.geometry.transform import Matrix, compose, identity, moved_points, transformed
from cutpath.intake.dxf.entities import IN_OCS, MAKERS, SILENT, TEXTS
from cutpath.intake.dxf.texts import plain_words
from cutpath.model import Curve, Spot, Text

_DEEPEST = 40


@dataclass(slots=True)
class Walk:
    """Collects what is drawn; ``per_unit`` is the mm of one drawing unit."""

    document: Document
    file: str
    per_unit: float
    curves: list[Curve] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    skipped: Counter[str] = field(default_factory=Counter)
    broken: Counter[str] = field(default_factory=Counter)
    hidden: Counter[str] = field(default_factory=Counter)

    def over(
        self,
        entities: Iterable[DXFGraphic],
        matrix: Matrix | None = None,
        group: str = "",
        within: tuple[str, ...] = (),
        layer: str = "",
    ) -> None:
        """Walk ``entities``; ``matrix`` leads from their plane to mm, ``within`` names the blocks.

        ``layer`` is what layer 0 inside a block takes on. Raises InputError for a block that
        holds itself.
        """
        matrix = compose(np.diag([self.per_unit] * 2) @ np.eye(2, 3)) if matrix is None else matrix
        for entity in entities:
            own = entity.dxf.get("layer", "0")
            on = layer if own == "0" and layer else own
            if self._is_hidden(on):
                self.hidden[on] += 1
                continue
            kind = entity.dxftype()
            if kind == "INSERT":
                self._insert(entity, matrix, group, within, on)
            else:
                self._take(entity, kind, matrix, group, on)

    def _is_hidden(self, layer: str) -> bool:
        layers = self.document.layers
        if not layers.has_entry(layer):
            return False
        found = layers.get(layer)
        return found.is_off() or found.is_frozen()

    def _source(self, entity: DXFGraphic, layer: str) -> Source:
        handle = entity.dxf.get("handle") or ""
        return Source(file=self.file, layer=layer, entity=f"{entity.dxftype()} {handle}".strip())

    def _take(self, entity: DXFGraphic, kind: str, matrix: Matrix, group: str, layer: str) -> None:
        source = self._source(entity, layer)
        try:
            plane = compose(matrix, _ocs_matrix(entity)) if _in_ocs(entity) else matrix
            if kind in MAKERS:
                for chain in MAKERS[kind](entity, self.per_unit):
                    self.curves.append(Curve(transformed(chain, plane), source, group=group))
            elif kind == "POINT":
                at = entity.dxf.location
                xy = moved_points(np.array([[at.x, at.y]]), plane)[0]
                self.spots.append(Spot(xy, source, group=group))
            elif kind in TEXTS:
                self._text(entity, plane, source, group)
            elif kind not in SILENT:
                self.skipped[kind] += 1
        except (DXFError, ValueError, TypeError, ZeroDivisionError, IndexError) as error:
            self.broken[f"{source.entity} on layer {layer} ({error})"] += 1

    def _text(self, entity: DXFGraphic, plane: Matrix, source: Source, group: str) -> None:
        words, place, height = plain_words(entity)
        if words:
            xy = moved_points(np.array([place]), plane)[0]
            scale = float(np.sqrt(abs(np.linalg.det(plane[:, :2]))))
            self.texts.append(Text(words, xy, height * scale, source, group=group))

    def _insert(
        self, entity: DXFGraphic, matrix: Matrix, group: str, within: tuple[str, ...], layer: str
    ) -> None:
        assert isinstance(entity, Insert)
        name = str(entity.dxf.get("name", ""))
        if name not in self.document.blocks:
            self.broken[f"{self._source(entity, layer).entity}: there is no block '{name}'"] += 1
            return
        block = self.document.blocks.get(name)
        if name in within or len(within) >= _DEEPEST:
            raise InputError(
                f"block '{name}' holds itself ({' > '.join((*within, name))})",
                self._source(entity, layer),
                "Redraw the block without the reference to itself.",
            )
        place = compose(matrix, _ocs_matrix(entity))
        base = block.block.dxf.get("base_point", (0, 0, 0)) if block.block else (0, 0, 0)
        for cell in _cells(entity, (base[0], base[1])):
            self.over(block, compose(place, cell), group or name, (*within, name), layer)
        self.over(entity.attribs, matrix, group or name, within, layer)


def _in_ocs(entity: DXFGraphic) -> bool:
    """Tell whether an entity counts in object coordinates; a 3D polyline does not."""
    if isinstance(entity, Polyline) and entity.is_3d_polyline:
        return False
    return entity.dxftype() in IN_OCS


def _ocs_matrix(entity: DXFGraphic) -> Matrix:
    """Give the matrix from an entity's object coordinates to the world's plan view."""
    extrusion = entity.dxf.get("extrusion")
    if extrusion is None or (extrusion.x == 0 and extrusion.y == 0 and extrusion.z > 0):
        return identity()
    ocs = OCS(extrusion)
    x, y = ocs.to_wcs(Vec3(1, 0, 0)), ocs.to_wcs(Vec3(0, 1, 0))
    return np.array([[x.x, y.x, 0.0], [x.y, y.y, 0.0]])


def _cells(insert: Insert, base: tuple[float, float]) -> list[Matrix]:
    """Give the matrices from block to object coordinates, one for each cell of an array."""
    dxf = insert.dxf
    angle = np.radians(dxf.get("rotation", 0.0))
    cos, sin = float(np.cos(angle)), float(np.sin(angle))
    turn = np.array([[cos, -sin], [sin, cos]])
    scale = np.diag([dxf.get("xscale", 1.0) or 1.0, dxf.get("yscale", 1.0) or 1.0])
    at = np.array([dxf.insert.x, dxf.insert.y])
    linear = turn @ scale
    cells = []
    for row in range(max(1, dxf.get("row_count", 1) or 1)):
        for column in range(max(1, dxf.get("column_count", 1) or 1)):
            step = (column * dxf.get("column_spacing", 0.0), row * dxf.get("row_spacing", 0.0))
            shift = at + turn @ np.array(step) - linear @ np.array(base)
            cells.append(np.column_stack([linear, shift]))
    return cells
