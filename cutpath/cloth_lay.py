"""One cloth's lay: by hand, kept from before, or found; judged in every case."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from cutpath.errors import CutpathError, FitError, InputError
from cutpath.laid import Lay, Place
from cutpath.lay.checking import faults_of
from cutpath.lay.frames import Frame, frames_of
from cutpath.lay.measures import LayMeasures, measured
from cutpath.lay.placing import laid_pieces
from cutpath.lay.room import Reach, fitting_shapes, gap_of, reach_of, stocks_of
from cutpath.lay.seeking import Seeking, seek
from cutpath.lay.shapes import Shape, shapes_of
from cutpath.model import Piece
from cutpath.settings.cloth_entry import Cloth
from cutpath.settings.lay_file import SavedLay
from cutpath.settings.profile import Profile
from cutpath.units import format_length

_COARSE, _FINE = 0.002, 0.0005
"""Share of its area that a piece's outline may be simpler by: quick, and for a long search."""
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, eq=False)
class LaidCloth:
    """One cloth's lay with its pieces in place, its numbers and its frames.

    ``mark`` stands for the pieces and rules that it was made for; ``origin`` tells who made it.
    ``by_machine`` tells that the machine itself moves the cloth on from frame to frame.
    """

    cloth: Cloth
    lay: Lay
    pieces: tuple[Piece, ...]
    measures: LayMeasures
    frames: tuple[Frame, ...]
    mark: str
    origin: str
    by_machine: bool


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """What laying one cloth works with."""

    key: str
    cloth: Cloth
    pieces: tuple[Piece, ...]
    reach: Reach
    gap: float
    overlap: float
    by_machine: bool
    mark: str


def bench_of(key: str, cloth: Cloth, pieces: tuple[Piece, ...], profile: Profile) -> Bench:
    """Give the bench; its mark changes with any piece, rule, gap or reach of the bed."""
    reach = reach_of(profile.bed, cloth)
    gap = gap_of(cloth, profile)
    said = cloth.model_dump_json(exclude={"name", "faces"})
    digest = hashlib.sha256(f"{said} {gap} {reach}".encode())
    for piece in pieces:
        digest.update(f"{piece.name} {piece.mirrored} {piece.grain}".encode())
        for array in (piece.cut.points, piece.cut.bulges, piece.cut.handles, piece.level):
            digest.update(b"" if array is None else array.tobytes())
    return Bench(
        key,
        cloth,
        pieces,
        reach,
        gap,
        profile.bed.overlap,
        profile.advance is not None,
        digest.hexdigest(),
    )


def given_lay(bench: Bench, given: SavedLay) -> LaidCloth:
    """Take the lay that a person wrote. Raises InputError for what is wrong with it."""
    lay = given.lay_for(bench.key, bench.gap, stocks_of(bench.cloth, bench.reach))
    names = {piece.name for piece in bench.pieces}
    for place in lay.places:
        if place.piece not in names:
            raise InputError(
                f"there is no piece '{place.piece}' of this cloth",
                given.place_of(bench.key, place.piece),
                f"Its pieces: {', '.join(sorted(names))}.",
            )
    laid = laid_pieces(lay, {piece.name: piece for piece in bench.pieces})
    faults = faults_of(lay, laid, bench.pieces, bench.cloth.turns, bench.cloth.repeat)
    if faults:
        first, others = faults[0], faults[1:]
        more = "\n".join(["And:", *(f"  {fault.words}" for fault in others)]) if others else ""
        raise InputError(first.words, given.place_of(bench.key, first.piece), more)
    return _judged(lay, bench, "given")


def found_lay(
    bench: Bench, kept: SavedLay | None, profile: Profile, seconds: int, progress: Progress
) -> LaidCloth:
    """Take the lay that is kept for these very pieces, or find one."""
    name = bench.cloth.name or bench.key
    progress(f"laying {name}", 0, 1)
    before = _kept(bench, kept)
    if before is not None and not seconds:
        return before
    shapes = _shapes(bench, profile, _COARSE)
    fine = _shapes(bench, profile, _FINE) if seconds else shapes
    stocks = stocks_of(bench.cloth, bench.reach)
    seeking = Seeking(shapes, fine, stocks, bench.gap, bench.cloth.repeat)

    def told(length: float, use: float, second: int) -> None:
        words = f"laying {name}: {format_length(length)} to buy, {use:.1%} used; second"
        progress(words, second, seconds)

    laid: LaidCloth | None = None
    fault: FitError | None = None
    for places in reversed(seek(seeking, seconds, told)):
        missing = [shape.piece for shape, at in zip(shapes, places, strict=True) if at is None]
        if missing:
            raise InputError(
                f"no place was found for piece '{missing[0]}' on '{name}'",
                remedy="Free it from keep_level, or allow more turns.",
            )
        rounded = tuple(_rounded(at) for at in places if at is not None)
        lay = Lay(bench.key, bench.gap, stocks, rounded)
        try:
            laid = _judged(lay, bench, "found in a long search" if seconds else "found")
            break
        except FitError as error:
            fault = error  # a lay that fails is never used; the one before it may do
    if laid is None:
        assert fault is not None
        raise fault
    if before is not None and before.measures.cloth <= laid.measures.cloth:
        return before
    return laid


def _shapes(bench: Bench, profile: Profile, waste: float) -> tuple[Shape, ...]:
    shapes = shapes_of(bench.pieces, bench.cloth.turns, bench.gap, waste)
    return fitting_shapes(bench.pieces, shapes, bench.cloth, profile, bench.reach)


def _kept(bench: Bench, kept: SavedLay | None) -> LaidCloth | None:
    if kept is None or kept.mark_of(bench.key) != bench.mark:
        return None
    try:
        lay = kept.lay_for(bench.key, bench.gap, stocks_of(bench.cloth, bench.reach))
        return _judged(lay, bench, f"kept in {kept.file}")
    except CutpathError:
        return None  # somebody edited it; --lay would tell what is wrong


def _rounded(place: Place) -> Place:
    """Give the place as a lay file tells it, so that the same lay is cut from either."""
    return Place(place.piece, place.stock, place.turn, round(place.x, 3), round(place.y, 3))


def _judged(lay: Lay, bench: Bench, origin: str) -> LaidCloth:
    """Put the pieces of a lay in their places and test it. Raises FitError when it fails."""
    by_name = {piece.name: piece for piece in bench.pieces}
    strange = [place.piece for place in lay.places if place.piece not in by_name]
    laid = () if strange else laid_pieces(lay, by_name)
    faults = (
        [] if strange else faults_of(lay, laid, bench.pieces, bench.cloth.turns, bench.cloth.repeat)
    )
    if strange or faults:
        words = "; ".join(fault.words for fault in faults) or f"no piece '{strange[0]}'"
        raise FitError(f"the lay of '{bench.cloth.name or bench.key}' fails its test: {words}")
    frames = frames_of(lay, laid, bench.reach.along, bench.overlap)
    return LaidCloth(
        bench.cloth, lay, laid, measured(lay, laid), frames, bench.mark, origin, bench.by_machine
    )
