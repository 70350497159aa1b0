"""Pieces to loads on the bed: laid on their cloths, tested, and parted into frames.

Part of the pipeline: it joins ``lay`` with the machine's bed and what the job says of its cloths.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from cutpath.continuing import continuations_of
from cutpath.errors import CutpathError, FitError, InputError
from cutpath.laid import Lay, Place
from cutpath.lay.checking import faults_of
from cutpath.lay.frames import Frame, frames_of
from cutpath.lay.measures import LayMeasures, measured
from cutpath.lay.placing import laid_pieces
from cutpath.lay.room import (
    Reach,
    cloth_to_bed,
    fitting_shapes,
    gap_of,
    reach_of,
    stocks_of,
)
from cutpath.lay.seeking import Seeking, seek
from cutpath.lay.shapes import shapes_of
from cutpath.model import Finding, Load, Piece
from cutpath.moving import moved_piece
from cutpath.path.arranging import BedRoom, arrange
from cutpath.path.continuing import Continuation
from cutpath.settings.cloth_entry import Cloth
from cutpath.settings.job import Job
from cutpath.settings.lay_file import SavedLay, lay_text, read_lay
from cutpath.settings.profile import Profile
from cutpath.units import format_length

_COARSE, _FINE = 0.002, 0.0005
"""Share of its area that a piece's outline may be simpler by: quick, and for a long search."""
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class LayWish:
    """What the user wants of the lay: seconds to look for a shorter one, or a lay of his own."""

    seconds: int = 0
    given: Path | None = None


@dataclass(frozen=True, slots=True, eq=False)
class LaidCloth:
    """One cloth's lay with its pieces in place, its numbers and its frames.

    ``mark`` stands for the pieces and rules that it was made for; ``origin`` tells who made it.
    """

    cloth: Cloth
    lay: Lay
    pieces: tuple[Piece, ...]
    measures: LayMeasures
    frames: tuple[Frame, ...]
    mark: str
    origin: str


@dataclass(frozen=True, slots=True, eq=False)
class LaidOut:
    """All loads of a job, and the lays of those cloths whose width is known.

    ``continuations`` tell, by cloth and number, which loads go on with a piece longer than the bed;
    ``is_found`` tells that a long search was made, so that the lays are worth keeping.
    """

    loads: tuple[Load, ...]
    lays: tuple[LaidCloth, ...]
    continuations: Mapping[tuple[str, int], Continuation]
    findings: tuple[Finding, ...]
    is_found: bool

    @property
    def text(self) -> str:
        """Give the text of ``lay.json``."""
        return lay_text({each.lay.cloth: (each.mark, each.lay) for each in self.lays})


@dataclass(frozen=True, slots=True, eq=False)
class _Bench:
    """What laying one cloth works with."""

    key: str
    cloth: Cloth
    pieces: tuple[Piece, ...]
    reach: Reach
    gap: float
    overlap: float
    mark: str


def lay_out(
    pieces: Sequence[Piece], job: Job, profile: Profile, wish: LayWish, progress: Progress
) -> LaidOut:
    """Lay ``pieces`` on their cloths and part them into loads; a cloth of unknown width on the bed.

    Raises InputError for a piece that its cloth cannot take and for mistakes in a lay that was
    given, MachineError for a piece that the bed cannot take.
    """
    given = read_lay(wish.given) if wish.given else None
    kept, findings = _kept_lay(job)
    loads: list[Load] = []
    lays: list[LaidCloth] = []
    continuations: dict[tuple[str, int], Continuation] = {}
    for key in dict.fromkeys(piece.cloth for piece in pieces):
        same = tuple(piece for piece in pieces if piece.cloth == key)
        cloth = job.said.cloths.get(key, Cloth())
        if cloth.width is None:
            bed = profile.bed
            loads += arrange(same, BedRoom(bed.width, bed.height, bed.margin, profile.name))
            continue
        bench = _bench(key, cloth, same, profile)
        if given is not None:
            laid = _given(bench, given)
        else:
            seconds = round(wish.seconds * len(same) / len(pieces)) or min(wish.seconds, 1)
            laid = _laid(bench, kept, profile, seconds, progress)
        lays.append(laid)
        findings += _beyond_reach(bench, job)
        loads += _loads(laid, bench, profile)
        parted = continuations_of(laid.lay, laid.pieces, laid.frames, profile.bed, bench.reach)
        continuations |= {(key, number): how for number, how in parted.items()}
    found = bool(wish.seconds and lays and given is None)
    return LaidOut(tuple(loads), tuple(lays), continuations, findings, found)


def _beyond_reach(bench: _Bench, job: Job) -> tuple[Finding, ...]:
    """Tell when the bed leaves a strip of the cloth unused."""
    width = bench.cloth.width or 0.0
    lost = width - bench.cloth.selvedge - bench.reach.high
    if lost <= 1.0:
        return ()
    message = f"the bed does not reach {format_length(lost)} of the cloth's width"
    return (Finding(message, job.place("cloths", bench.key, "width")),)


def lay_file_of(job_file: Path) -> Path:
    """Give the file beside the job that keeps its lay: lay.json for job.toml."""
    name = "lay.json" if job_file.stem == "job" else f"{job_file.stem}.lay.json"
    return job_file.with_name(name)


def _kept_lay(job: Job) -> tuple[SavedLay | None, tuple[Finding, ...]]:
    """Read the lay beside the job, where there is one; one that cannot be read is only told."""
    if not job.file or job.folder is None:
        return None, ()
    path = lay_file_of(job.folder / job.file)
    if not path.is_file():
        return None, ()
    try:
        return read_lay(path), ()
    except CutpathError as error:
        message = f"the lay beside the job is not used: {error.message}"
        return None, (Finding(message, error.source, error.remedy),)


def _bench(key: str, cloth: Cloth, pieces: tuple[Piece, ...], profile: Profile) -> _Bench:
    reach = reach_of(profile.bed, cloth)
    gap = gap_of(cloth, profile)
    said = cloth.model_dump_json(exclude={"name", "faces"})
    digest = hashlib.sha256(f"{said} {gap} {reach}".encode())
    for piece in pieces:
        digest.update(f"{piece.name} {piece.mirrored} {piece.grain}".encode())
        for array in (piece.cut.points, piece.cut.bulges, piece.cut.handles, piece.level):
            digest.update(b"" if array is None else array.tobytes())
    return _Bench(key, cloth, pieces, reach, gap, profile.bed.overlap, digest.hexdigest())


def _given(bench: _Bench, given: SavedLay) -> LaidCloth:
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


def _laid(
    bench: _Bench, kept: SavedLay | None, profile: Profile, seconds: int, progress: Progress
) -> LaidCloth:
    """Take the lay that is kept for these very pieces, or find one."""
    name = bench.cloth.name or bench.key
    progress(f"laying {name}", 0, 1)
    before = _kept(bench, kept)
    if before is not None and not seconds:
        return before
    shapes = fitting_shapes(
        bench.pieces,
        shapes_of(bench.pieces, bench.cloth.turns, bench.gap, _FINE if seconds else _COARSE),
        bench.cloth,
        profile,
        bench.reach,
    )
    stocks = stocks_of(bench.cloth, bench.reach)
    seeking = Seeking(shapes, stocks, bench.gap, bench.cloth.repeat)

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


def _kept(bench: _Bench, kept: SavedLay | None) -> LaidCloth | None:
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


def _judged(lay: Lay, bench: _Bench, origin: str) -> LaidCloth:
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
    return LaidCloth(bench.cloth, lay, laid, measured(lay, laid), frames, bench.mark, origin)


def _loads(laid: LaidCloth, bench: _Bench, profile: Profile) -> list[Load]:
    """Give the frames in bed coordinates, with words where the cloth lies."""
    out = []
    for number, frame in enumerate(laid.frames, start=1):
        stock = laid.lay.stocks[frame.stock]
        matrix = cloth_to_bed(profile.bed, bench.reach, frame.start)
        pieces = tuple(moved_piece(piece, matrix) for piece in frame.pieces)
        if frame.advance > 0:
            note = f"{stock.name}: advance the cloth by {format_length(frame.advance)}"
            if any(math.isfinite(low) for low, _ in frame.spans.values()):
                note += ", its crosses to where the pen draws them again"
        else:
            end = format_length(profile.bed.margin)
            edge = format_length(bench.reach.offset)
            note = f"{stock.name}: its end {end}, its near edge {edge} in from the bed's edges"
        out.append(Load(laid.lay.cloth, number, pieces, note))
    return out
