"""A DXF file to a Drawing in mm."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
from ezdxf.document import Drawing as Document

from cutpath.errors import InputError, Source
from cutpath.geometry.measure import bounds
from cutpath.intake.dxf.exchange import (
    all_words,
    facts_of,
    is_exchange,
    sorted_exchange,
    uninserted_pieces,
)
from cutpath.intake.dxf.loading import load
from cutpath.intake.dxf.units import Box, ask_for_unit, exchange_unit, unit_of
from cutpath.intake.dxf.walking import Walk
from cutpath.model import Curve, Drawing, Finding


def read_dxf(path: Path, units: str | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    """Read the DXF file at ``path``; ``units`` wins over what the file says of its unit.

    Raises InputError for a file that is no DXF, holds nothing to cut, or does not say its unit.
    """
    loaded = load(path)
    document = loaded.document
    exchange = is_exchange(document)
    unit = unit_of(loaded, units)
    if exchange and units is None:
        unit = exchange_unit(all_words(document)) or unit
    walk = _walked(document, path.name, 1.0 if unit is None else unit[1], exchange=exchange)
    if unit is None:
        raise ask_for_unit(path.name, _box(walk.curves))
    _require_curves(walk, path.name)
    curves, spots, texts = walk.curves, walk.spots, walk.texts
    if exchange:
        curves, spots, texts = sorted_exchange(curves, spots, texts)
    drawing = Drawing(
        file=path.name,
        unit=unit[0],
        curves=tuple(curves),
        spots=tuple(spots),
        texts=tuple(texts),
        facts=facts_of(document) if exchange else {},
        is_exchange=exchange,
    )
    return drawing, (*loaded.findings, *_told(walk, path.name))


def _walked(document: Document, file: str, per_unit: float, *, exchange: bool) -> Walk:
    walk = Walk(document, file, per_unit)
    walk.over(document.modelspace())
    if exchange:
        # The blocks themselves are the pieces; some files insert none of them, or not all.
        for block in uninserted_pieces(document):
            walk.over(block, group=block.name)
    return walk


def _box(curves: list[Curve]) -> Box | None:
    if not curves:
        return None
    boxes = np.array([bounds(curve.chain) for curve in curves])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _require_curves(walk: Walk, file: str) -> None:
    if walk.curves:
        return
    hidden = ", ".join(walk.visible.hidden)
    broken = "; ".join(list(walk.broken)[:3])
    if broken:
        raise InputError(
            f"nothing in the drawing can be read: {broken}",
            Source(file=file),
            "Repair or redraw these, or export the drawing again.",
        )
    remedy = f"Layers off or frozen: {hidden}. Turn them on." if hidden else "Draw the panels."
    raise InputError("the drawing has no lines to cut", Source(file=file), remedy)


def _told(walk: Walk, file: str) -> list[Finding]:
    source = Source(file=file)
    found = [
        Finding(
            f"layer '{layer}' is off or frozen: {_count(n, 'entity', 'entities')} not read",
            Source(file=file, layer=layer),
        )
        for layer, n in sorted(walk.visible.hidden.items())
    ]
    if walk.visible.invisible:
        many = _count(walk.visible.invisible, "entity is", "entities are")
        found.append(Finding(f"{many} marked invisible and not read", source))
    if walk.tilted:
        many = _count(walk.tilted, "entity", "entities")
        found.append(
            Finding(
                f"{many} in a tilted plane: read foreshortened, as seen from above",
                source,
                "Lay the panels flat in the drawing if they are to be cut as they are.",
            )
        )
    if walk.skipped:
        found.append(Finding(f"not read: {_list(walk.skipped)}", source))
    found += [
        Finding(f"cannot be read and is left out: {what}", source, "Redraw it if it is needed.")
        for what in sorted(walk.broken)
    ]
    return found


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _list(kinds: Counter[str]) -> str:
    return ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))
