"""Pieces to their places on the bed: as they were drawn where that works, else on shelves.

Cloth is saved elsewhere; here pieces only have to lie apart and in reach. Pieces of one cloth are
cut together; what does not fit at once goes on a further load.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutpath.errors import MachineError
from cutpath.geometry.measure import bounds
from cutpath.geometry.room import too_close
from cutpath.geometry.transform import translation
from cutpath.model import Load, Piece
from cutpath.moving import moved_piece
from cutpath.units import format_size

_ROUNDING = 1e-6
"""What sizes may be off by, mm, after all that was done to them."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class BedRoom:
    """What of the bed may hold pieces: its size and the margin kept free, mm, and its name."""

    width: float
    height: float
    margin: float
    machine: str

    @property
    def usable(self) -> tuple[float, float]:
        """Width and height left between the margins."""
        taken = 2 * self.margin - _ROUNDING
        return self.width - taken, self.height - taken


def arrange(pieces: Sequence[Piece], bed: BedRoom, gap: float = 5.0) -> tuple[Load, ...]:
    """Place ``pieces`` on loads of one cloth each, at least ``gap`` mm apart, in bed coordinates.

    Raises MachineError for a piece that does not fit the bed by itself.
    """
    for piece in pieces:
        _require_fit(piece, bed)
    cloths = dict.fromkeys(piece.cloth for piece in pieces)
    loads: list[Load] = []
    for cloth in cloths:
        same = [piece for piece in pieces if piece.cloth == cloth]
        laid = [_as_drawn(same, bed)] if _can_stay(same, bed, gap) else _on_shelves(same, bed, gap)
        loads += [Load(cloth, number, load) for number, load in enumerate(laid, start=1)]
    return tuple(loads)


def _require_fit(piece: Piece, bed: BedRoom) -> None:
    width, height = _size(bounds(piece.cut))
    room_x, room_y = bed.usable
    if width <= room_x and height <= room_y:
        return
    turned = width <= room_y and height <= room_x
    help_ = "Turned by 90° in the drawing it would fit, if the grain allows. " if turned else ""
    raise MachineError(
        f"piece '{piece.name}' is {format_size(width, height)} with its allowances and does not "
        f"fit '{bed.machine}', whose bed takes {format_size(room_x, room_y)} inside its margins",
        piece.source,
        f"{help_}Use a machine with a larger bed, or split the panel with a seam.",
    )


def _size(box: Box) -> tuple[float, float]:
    return box[2] - box[0], box[3] - box[1]


def _around(boxes: Sequence[Box]) -> Box:
    low_x, low_y, high_x, high_y = zip(*boxes, strict=True)
    return min(low_x), min(low_y), max(high_x), max(high_y)


def _can_stay(pieces: Sequence[Piece], bed: BedRoom, gap: float) -> bool:
    """Tell whether the drawing's own arrangement fits the bed with every piece apart."""
    width, height = _size(_around([bounds(piece.cut) for piece in pieces]))
    if width > bed.usable[0] or height > bed.usable[1]:
        return False
    cuts, openings = [piece.cut for piece in pieces], [piece.inner_cuts for piece in pieces]
    return too_close(cuts, openings, gap - _ROUNDING) is None


def _as_drawn(pieces: Sequence[Piece], bed: BedRoom) -> tuple[Piece, ...]:
    low_x, low_y, _, _ = _around([bounds(piece.cut) for piece in pieces])
    shift = translation(bed.margin - low_x, bed.margin - low_y)
    return tuple(moved_piece(piece, shift) for piece in pieces)


def _on_shelves(pieces: Sequence[Piece], bed: BedRoom, gap: float) -> list[tuple[Piece, ...]]:
    """Fill shelves from the near left, the tallest pieces first; pieces keep their direction."""
    room_x, room_y = bed.usable
    boxes = [bounds(piece.cut) for piece in pieces]
    tallest = sorted(range(len(pieces)), key=lambda i: (-_size(boxes[i])[1], i))
    loads: list[list[Piece]] = [[]]
    x = y = shelf = 0.0
    for index in tallest:
        width, height = _size(boxes[index])
        if x > 0 and x + width > room_x:
            x, y, shelf = 0.0, y + shelf + gap, 0.0
        if y + height > room_y:
            loads.append([])
            x = y = shelf = 0.0
        to_x, to_y = bed.margin + x - boxes[index][0], bed.margin + y - boxes[index][1]
        loads[-1].append(moved_piece(pieces[index], translation(to_x, to_y)))
        x += width + gap
        shelf = max(shelf, height)
    return [tuple(load) for load in loads]


def renamed_apart(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Give pieces whose names are all different, numbering the later ones."""
    seen: dict[str, int] = {}
    out = []
    for piece in pieces:
        seen[piece.name] = count = seen.get(piece.name, 0) + 1
        out.append(piece if count == 1 else replace(piece, name=f"{piece.name} ({count})"))
    return tuple(out)
