"""Every entity of a drawing, through blocks and coordinate systems, to curves, spots and texts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from ezdxf.document import Drawing as Document
from ezdxf.entities import Insert
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.lldxf.const import DXFError
from ezdxf.math import Vec3

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Point
from cutpath.geometry.transform import Matrix, moved_points
from cutpath.intake.dxf.batch import FARTHEST, Batch
from cutpath.intake.dxf.entities import CURVES, OUTLINES, SILENT, TEXTS, Entity, is_unknown
from cutpath.intake.dxf.places import (
    ObjectPlane,
    Place,
    frame_of,
    insert_frames,
    is_tilted,
    nested,
    object_frame,
    plan,
    plane_of,
    scaled_frame,
)
from cutpath.intake.dxf.splines import NotFiniteError
from cutpath.intake.dxf.texts import plain_words
from cutpath.intake.dxf.visible import Visible
from cutpath.model import Curve, Spot, Text

UNREADABLE = (DXFError, ArithmeticError, AttributeError, LookupError, TypeError, ValueError)
"""What ezdxf raises on entities with missing or senseless numbers."""
_DEEPEST = 40
_MOST = 1_000_000


@dataclass(slots=True)
class _Waiting:
    """Outlines of one plane on their way to the places in the list of curves kept for them."""

    plane: Matrix
    is_tilted: bool
    batch: Batch = field(default_factory=Batch)
    slots: list[tuple[int, Source]] = field(default_factory=list)


class Walk:
    """Collects what is drawn; ``per_unit`` is the mm of one drawing unit."""

    def __init__(self, document: Document, file: str, per_unit: float) -> None:
        self.document = document
        self.file = file
        self.spots: list[Spot] = []
        self.texts: list[Text] = []
        self.skipped: Counter[str] = Counter()
        self.broken: Counter[str] = Counter()
        self.visible = Visible(document)
        self.tilted = 0
        self._to_mm = scaled_frame(per_unit)
        self._curves: list[Curve | None] = []
        self._seen = 0

    @property
    def curves(self) -> list[Curve]:
        """All curves in the order that they are drawn in."""
        return [curve for curve in self._curves if curve is not None]

    def over(self, entities: Iterable[DXFGraphic], group: str = "") -> None:
        """Walk ``entities`` of the model space, or of a block called ``group``.

        Raises InputError for a block that holds itself, for numbers that are not finite or beyond
        all measure, and for more entities than can be meant.
        """
        self._over(entities, Place(self._to_mm, "", group, (group.lower(),) if group else ()))

    def _over(self, entities: Iterable[DXFGraphic], place: Place) -> None:
        waiting: dict[ObjectPlane | None, _Waiting] = {}
        for entity in entities:
            if is_unknown(entity):
                self.skipped[entity.dxftype()] += 1
                continue
            own = entity.dxf.get("layer", "0")
            layer = place.layer if own == "0" and place.layer else own
            kind = entity.dxftype()
            self._count(entity, layer, 1)
            if not self.visible.shows(entity, kind, layer):
                continue
            try:
                if kind == "INSERT":
                    self._insert(entity, place, layer)
                else:
                    self._take(entity, kind, place, layer, waiting)
            except NotFiniteError:
                raise _senseless(self._source(entity, layer)) from None
            except UNREADABLE as error:
                self.broken[f"{self._source(entity, layer).entity} on layer {layer} ({error})"] += 1
        for lot in waiting.values():
            self._settle(lot, place.group)

    def _count(self, entity: Entity, layer: str, more: int) -> None:
        self._seen += more
        if self._seen > _MOST:
            raise InputError(
                f"inserted blocks multiply the drawing to more than {_MOST} entities",
                self._source(entity, layer),
                "Delete the inserts that are not needed, or explode the few that are.",
            )

    def _source(self, entity: Entity, layer: str) -> Source:
        handle = entity.dxf.get("handle") or ""
        return Source(file=self.file, layer=layer, entity=f"{entity.dxftype()} {handle}".strip())

    def _take(
        self,
        entity: Entity,
        kind: str,
        place: Place,
        layer: str,
        waiting: dict[ObjectPlane | None, _Waiting],
    ) -> None:
        if kind in OUTLINES:
            outline = OUTLINES[kind](entity)
            if outline is not None:
                lot = self._lot(entity, kind, place, waiting)
                lot.batch.add(outline)
                lot.slots.append((len(self._curves), self._source(entity, layer)))
                self._curves.append(None)
        elif kind in CURVES:
            with np.errstate(all="ignore"):
                chain = CURVES[kind](entity, plan(place.frame))
            source = self._source(entity, layer)
            if not _is_sane(chain, kind):
                raise _senseless(source)
            self._curves.append(Curve(chain, source, group=place.group))
        elif kind == "POINT":
            source = self._source(entity, layer)
            at = self._moved(
                (entity.dxf.location.x, entity.dxf.location.y), plan(place.frame), source
            )
            self.spots.append(Spot(at, source, group=place.group))
        elif kind in TEXTS:
            key = plane_of(entity, kind)
            plane = plan(frame_of(key, place), key[3] if key else 0.0)
            self._text(entity, plane, self._source(entity, layer), place.group)
        elif kind not in SILENT:
            self.skipped[kind] += 1

    def _lot(
        self,
        entity: Entity,
        kind: str,
        place: Place,
        waiting: dict[ObjectPlane | None, _Waiting],
    ) -> _Waiting:
        key = plane_of(entity, kind)
        lot = waiting.get(key)
        if lot is None:
            frame = frame_of(key, place)
            lot = waiting[key] = _Waiting(plan(frame, key[3] if key else 0.0), is_tilted(frame))
        return lot

    def _settle(self, lot: _Waiting, group: str) -> None:
        """Put the chains of a batch where they belong."""
        self.tilted += len(lot.slots) if lot.is_tilted else 0
        chains = lot.batch.chains(lot.plane)
        for (slot, source), chain in zip(lot.slots, chains, strict=True):
            if chain is None:
                raise _senseless(source)
            self._curves[slot] = Curve(chain, source, group=group)

    def _moved(self, xy: tuple[float, float], matrix: Matrix, source: Source) -> Point:
        with np.errstate(all="ignore"):
            at: Point = moved_points(np.array([xy]), matrix)[0]
        if not (np.abs(at) <= FARTHEST).all():
            raise _senseless(source)
        return at

    def _text(self, entity: Entity, plane: Matrix, source: Source, group: str) -> None:
        words, xy, height = plain_words(entity)
        if words:
            scale = float(np.sqrt(abs(np.linalg.det(plane[:, :2]))))
            at = self._moved(xy, plane, source)
            self.texts.append(Text(words, at, height * scale, source, group=group))

    def _insert(self, entity: DXFGraphic, place: Place, layer: str) -> None:
        assert isinstance(entity, Insert)
        source = self._source(entity, layer)
        name = str(entity.dxf.get("name", ""))
        if name not in self.document.blocks:
            self.broken[f"{source.entity}: there is no block '{name}'"] += 1
            return
        _require_finite(name, place, source)
        cells = max(1, entity.dxf.get("row_count", 1)) * max(1, entity.dxf.get("column_count", 1))
        self._count(entity, layer, cells)
        block = self.document.blocks.get(name)
        base = Vec3(block.block.dxf.get("base_point", (0, 0, 0)) if block.block else (0, 0, 0))
        outer = place.frame
        if entity.dxf.hasattr("extrusion"):
            outer = nested(outer, object_frame(Vec3(entity.dxf.extrusion)))
        group, blocks = place.group or name, (*place.blocks, name.lower())
        for cell in insert_frames(entity, base):
            frame = nested(outer, cell)
            self._over(block, Place(frame, layer, group, blocks))
        self._over(entity.attribs, Place(place.frame, layer, group, place.blocks))


def _is_sane(chain: Chain, kind: str) -> bool:
    """Tell whether all numbers are finite and within ``FARTHEST``; of a spline all are cubics."""
    inner = chain.handles if kind == "SPLINE" else chain.handles[chain.is_cubic]
    return bool((np.abs(chain.points) <= FARTHEST).all() and (np.abs(inner) <= FARTHEST).all())


def _require_finite(name: str, place: Place, source: Source) -> None:
    """Raise InputError for a block within itself, or blocks too deep within one another."""
    if name.lower() in place.blocks:
        raise InputError(
            f"block '{name}' holds itself ({' > '.join((*place.blocks, name.lower()))})",
            source,
            "Redraw the block without the reference to itself.",
        )
    if len(place.blocks) >= _DEEPEST:
        raise InputError(
            f"blocks lie more than {_DEEPEST} deep within one another",
            source,
            "Explode the outer ones in the drawing.",
        )


def _senseless(source: Source) -> InputError:
    return InputError(
        "a coordinate is not a number, or beyond all measure (10,000 km)",
        source,
        "Delete this entity in the drawing and draw it again, or mend the scale of its block.",
    )
