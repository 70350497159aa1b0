"""Pieces to loads on the bed: laid on their cloths, tested, and parted into frames.

Part of the pipeline: it joins ``lay`` with the machine's bed and what the job says of its cloths.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from cutpath.errors import FitError, InputError, MachineError
from cutpath.geometry.transform import Matrix, compose, translation
from cutpath.laid import Lay, Stock
from cutpath.lay.checking import faults_of
from cutpath.lay.filling import NoFits
from cutpath.lay.frames import Frame, frames_of
from cutpath.lay.measures import LayMeasures, measured
from cutpath.lay.ordering import Search, quick_search
from cutpath.lay.placing import laid_pieces
from cutpath.lay.shapes import Shape, shapes_of
from cutpath.model import Load, Piece
from cutpath.moving import moved_piece
from cutpath.path.arranging import BedRoom, arrange
from cutpath.settings.cloth_entry import Cloth
from cutpath.settings.job import Job
from cutpath.settings.profile import Bed, Profile
from cutpath.units import format_length, format_size

Progress = Callable[[str, int, int], None]

_PLACEMENTS = 1200
"""Effort of the quick layer: pieces placed in all, over all orders tried."""
_ROUNDING = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class LaidCloth:
    """One cloth's lay with its pieces in place, its numbers and its frames."""

    lay: Lay
    pieces: tuple[Piece, ...]
    measures: LayMeasures
    frames: tuple[Frame, ...]


@dataclass(frozen=True, slots=True, eq=False)
class LaidOut:
    """All loads of a job, and the lays of those cloths whose width is known."""

    loads: tuple[Load, ...]
    lays: tuple[LaidCloth, ...]


@dataclass(frozen=True, slots=True)
class _Reach:
    """What of a cloth the bed takes: ``along`` the roll, and between which y on the cloth."""

    along: float
    low: float
    high: float
    offset: float  # from the bed's edge to the cloth's near edge


def lay_out(pieces: Sequence[Piece], job: Job, profile: Profile, progress: Progress) -> LaidOut:
    """Lay ``pieces`` on their cloths and part them into loads; a cloth of unknown width on the bed.

    Raises InputError for a piece that its cloth cannot take, MachineError for one that the bed
    cannot take, and FitError for a lay that fails its test.
    """
    loads: list[Load] = []
    lays: list[LaidCloth] = []
    for key in dict.fromkeys(piece.cloth for piece in pieces):
        same = [piece for piece in pieces if piece.cloth == key]
        cloth = job.said.cloths.get(key, Cloth())
        if cloth.width is None:
            bed = profile.bed
            loads += arrange(same, BedRoom(bed.width, bed.height, bed.margin, profile.name))
            continue
        progress(f"laying {cloth.name or key}", 0, 1)
        laid = _lay_cloth(key, same, cloth, profile)
        lays.append(laid)
        loads += _loads(laid, profile.bed)
    return LaidOut(tuple(loads), tuple(lays))


def gap_of(cloth: Cloth, profile: Profile) -> float:
    """Give the gap between pieces, mm: what the cloth says, else by the tool that cuts.

    3 mm and the blade's offset on both sides (common practice, no source: 3 to 5 for drag blades).
    """
    if cloth.gap is not None:
        return cloth.gap
    cutters = [tool for tool in profile.tools.values() if "knife" in tool.roles]
    return 3.0 + 2 * max((tool.blade_offset for tool in cutters), default=0.0)


def stocks_of(cloth: Cloth, reach: _Reach) -> tuple[Stock, ...]:
    """Give what there is to lay on: all that is on hand, in order, and then a new roll."""
    assert cloth.width is not None
    stocks = [
        _stock(entry.name or f"remnant {number}", entry.length, entry.width or cloth.width,
               cloth, reach, entry.flaws)
        for number, entry in enumerate(cloth.on_hand, start=1)
    ]  # fmt: skip
    return (*stocks, _stock("new roll", None, cloth.width, cloth, reach, ()))


def _stock(
    name: str,
    length: float | None,
    width: float,
    cloth: Cloth,
    reach: _Reach,
    flaws: tuple[tuple[float, float, float, float], ...],
) -> Stock:
    low = max(cloth.selvedge, reach.low)
    high = min(width - cloth.selvedge, reach.high)
    return Stock(name, length, width, low, max(high, low), flaws)


def _reach(bed: Bed, cloth: Cloth) -> _Reach:
    """Lay the cloth's selvedge in the bed's margin as far as it goes."""
    along, across = max(bed.width, bed.height), min(bed.width, bed.height)
    offset = max(bed.margin - cloth.selvedge, 0.0)
    room = along - 2 * bed.margin
    return _Reach(room, bed.margin - offset, across - bed.margin - offset, offset)


def _lay_cloth(key: str, pieces: Sequence[Piece], cloth: Cloth, profile: Profile) -> LaidCloth:
    reach = _reach(profile.bed, cloth)
    stocks = stocks_of(cloth, reach)
    gap = gap_of(cloth, profile)
    shapes = shapes_of(pieces, cloth.turns, gap)
    _require_room(pieces, shapes, cloth, profile, reach)
    shapes = tuple(_within_bed(shape, reach) for shape in shapes)
    search = Search(shapes, stocks, cloth.repeat, NoFits())
    filled = quick_search(search, _PLACEMENTS)
    places = [filled.places[index] for index in range(len(shapes))]
    missing = [shape.piece for shape, place in zip(shapes, places, strict=True) if place is None]
    if missing:
        raise InputError(
            f"no place was found for piece '{missing[0]}' on '{cloth.name or key}'",
            remedy="Free it from keep_level, or allow more turns.",
        )
    lay = Lay(key, gap, stocks, tuple(place for place in places if place is not None))
    return judged(lay, pieces, cloth, reach)


def judged(lay: Lay, pieces: Sequence[Piece], cloth: Cloth, reach: _Reach) -> LaidCloth:
    """Put the pieces of a lay in their places and test it. Raises FitError when it fails."""
    laid = laid_pieces(lay, {piece.name: piece for piece in pieces})
    faults = faults_of(lay, laid, pieces, cloth.turns)
    if faults:
        raise FitError(
            f"the lay of '{cloth.name or lay.cloth}' fails its test: {'; '.join(faults)}"
        )
    frames = frames_of(lay, laid, reach.along)
    return LaidCloth(lay, laid, measured(lay, laid), frames)


def _within_bed(shape: Shape, reach: _Reach) -> Shape:
    poses = tuple(pose for pose in shape.poses if pose.length <= reach.along + _ROUNDING)
    return replace(shape, poses=poses)


def _require_room(
    pieces: Sequence[Piece],
    shapes: Sequence[Shape],
    cloth: Cloth,
    profile: Profile,
    reach: _Reach,
) -> None:
    """Refuse pieces that no stock, or not the bed, can take."""
    assert cloth.width is not None
    widths = [entry.width or cloth.width for entry in cloth.on_hand] + [cloth.width]
    usable = max(widths) - 2 * cloth.selvedge
    bed_across = reach.high - reach.low
    for piece, shape in zip(pieces, shapes, strict=True):
        least = min(shape.poses, key=lambda pose: pose.width)
        if least.width > usable + _ROUNDING:
            raise _too_wide(piece, least.width, usable, cloth)
        room = min(usable, bed_across) + _ROUNDING
        if not any(p.width <= room and p.length <= reach.along + _ROUNDING for p in shape.poses):
            size = format_size(least.length, least.width)
            raise MachineError(
                f"piece '{piece.name}' is {size} with its allowances and does not fit "
                f"'{profile.name}', whose bed takes {format_size(reach.along, bed_across)} "
                "inside its margins",
                piece.source,
                "Use a machine with a larger bed, or split the panel with a seam.",
            )


def _too_wide(piece: Piece, width: float, usable: float, cloth: Cloth) -> InputError:
    return InputError(
        f"piece '{piece.name}' is {format_length(width)} wide across the warp with its "
        f"allowances; '{cloth.name}' takes {format_length(usable)} between its selvedges",
        piece.source,
        "Use a wider cloth, or split the panel with a seam.",
    )


def _loads(laid: LaidCloth, bed: Bed) -> list[Load]:
    """Give the frames in bed coordinates, with words where the cloth lies."""
    out = []
    for number, frame in enumerate(laid.frames, start=1):
        stock = laid.lay.stocks[frame.stock]
        matrix = cloth_to_bed(bed, stock, frame.start)
        pieces = tuple(moved_piece(piece, matrix) for piece in frame.pieces)
        out.append(Load(laid.lay.cloth, number, pieces, _note(stock, frame, bed)))
    return out


def cloth_to_bed(bed: Bed, stock: Stock, start: float) -> Matrix:
    """Give where a stock's coordinates lie on the bed when ``start`` mm of it has passed.

    The cloth runs along the bed's longer side; its near edge is to the right of its run.
    """
    offset = max(bed.margin - stock.low, 0.0)
    if bed.width >= bed.height:
        return translation(bed.margin - start, offset)
    quarter = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0]])
    across = bed.width - offset
    return compose(translation(across, bed.margin - start), quarter)


def _note(stock: Stock, frame: Frame, bed: Bed) -> str:
    if frame.advance > 0:
        return f"{stock.name}: advance the cloth by {format_length(frame.advance)}"
    offset = max(bed.margin - stock.low, 0.0)
    return (
        f"{stock.name}: its end at {format_length(bed.margin - frame.start)}, "
        f"its near edge {format_length(offset)} from the bed's edge"
    )


def lay_facts(laid: LaidCloth) -> dict[str, Any]:
    """Give a lay's numbers for programs."""
    stocks = []
    for number, (stock, use) in enumerate(zip(laid.lay.stocks, laid.measures.stocks, strict=True)):
        if not math.isclose(use.used, 0.0) or stock.length is not None:
            stocks.append(
                {
                    "name": stock.name,
                    "length_mm": stock.length,
                    "width_mm": round(stock.width, 3),
                    "used_mm": round(use.used, 3),
                    "use": round(use.use, 4),
                    "pieces": [p.piece for p in laid.lay.places if p.stock == number],
                    "remnants_mm": [[round(v, 1) for v in box] for box in use.remnants],
                }
            )
    return {
        "cloth": laid.lay.cloth,
        "gap_mm": round(laid.lay.gap, 3),
        "to_buy_mm": round(laid.measures.to_buy, 3),
        "use": round(laid.measures.use, 4),
        "stocks": stocks,
        "frames": [
            {"stock": laid.lay.stocks[f.stock].name, "start_mm": round(f.start, 3),
             "advance_mm": round(f.advance, 3), "pieces": [p.name for p in f.pieces]}
            for f in laid.frames
        ],
    }  # fmt: skip
