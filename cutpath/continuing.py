"""How loads go on with a piece longer than the bed: spans in bed coordinates, and register marks.

Part of the pipeline: it joins the frames of ``lay`` with the toolpaths of ``path``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from cutpath.geometry.clearance import over_boxes
from cutpath.geometry.points import Point
from cutpath.geometry.transform import moved_points
from cutpath.laid import Lay, Stock
from cutpath.lay.frames import Frame
from cutpath.lay.room import Reach, cloth_to_bed
from cutpath.model import Piece
from cutpath.path.continuing import Continuation, Span
from cutpath.settings.profile import Bed

_BOX = 16.0
"""Side of the free square that a register mark needs, mm."""
_STEP = 10.0


def continuations_of(
    lay: Lay, laid: Sequence[Piece], frames: Sequence[Frame], bed: Bed, reach: Reach
) -> dict[int, Continuation]:
    """Give, by the number of the load, how those frames are cut that do not hold whole pieces.

    Each join has two marks on free cloth, drawn in both of its frames, as far apart as they go.
    """
    out: dict[int, Continuation] = {}
    before: list[Point] = []
    for number, frame in enumerate(frames, start=1):
        if not frame.spans:
            before = []
            continue
        stock = lay.stocks[frame.stock]
        here = [
            piece
            for place, piece in zip(lay.places, laid, strict=True)
            if place.stock == frame.stock
        ]
        after = (
            [] if frame.joins is None else _free_places(frame.joins - bed.overlap / 2, stock, here)
        )
        matrix = cloth_to_bed(bed, reach, frame.start)
        run = matrix[:, 0]
        shift = float(matrix[:, 2] @ run)
        spans = {
            name: Span(low + shift, high + shift, bed.overlap)
            for name, (low, high) in frame.spans.items()
        }
        marks = tuple(moved_points(xy[None], matrix)[0] for xy in (*before, *after))
        out[number] = Continuation(run, spans, marks)
        before = after
    return out


def _free_places(x: float, stock: Stock, pieces: Sequence[Piece]) -> list[Point]:
    """Give the free places nearest to both edges of the cloth at ``x``; fewer where it is full."""
    ys = np.arange(stock.low + _BOX / 2, stock.high - _BOX / 2, _STEP).tolist()
    boxes = [(x - _BOX / 2, y - _BOX / 2, _BOX, _BOX) for y in ys]
    taken = {box for _, box in over_boxes([piece.cut for piece in pieces], boxes)}
    free = [y for index, y in enumerate(ys) if index not in taken]
    ends = dict.fromkeys((free[0], free[-1])) if free else ()
    return [np.array([x, y]) for y in ends if math.isfinite(y)]
