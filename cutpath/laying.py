"""Pieces to loads on the bed: laid on their cloths, tested, and parted into frames.

Part of the pipeline: it joins ``lay`` with the machine's bed and what the job says of its cloths.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence, Set
from dataclasses import dataclass
from pathlib import Path

from cutpath.cloth_lay import Bench, LaidCloth, bench_of, found_lay, given_lay
from cutpath.continuing import continuations_of
from cutpath.errors import CutpathError, InputError, Source
from cutpath.lay.room import cloth_to_bed, gap_of
from cutpath.model import Finding, Load, Piece
from cutpath.moving import moved_piece
from cutpath.path.arranging import BedRoom, arrange
from cutpath.path.continuing import Continuation
from cutpath.settings.cloth_entry import Cloth
from cutpath.settings.job import Job
from cutpath.settings.lay_file import SavedLay, lay_text, read_lay
from cutpath.settings.profile import Profile
from cutpath.units import format_length

_LEAST_GAP = 5.0
"""Between pieces that only have to lie apart, mm (our choice)."""
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class LayWish:
    """What the user wants of the lay: seconds to look for a shorter one, or a lay of his own."""

    seconds: int = 0
    given: Path | None = None


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


def lay_out(
    pieces: Sequence[Piece], job: Job, profile: Profile, wish: LayWish, progress: Progress
) -> LaidOut:
    """Lay ``pieces`` on their cloths and part them into loads; a cloth of unknown width on the bed.

    Raises InputError for a piece that its cloth cannot take and for mistakes in a lay that was
    given, MachineError for a piece that the bed cannot take.
    """
    _require_one_wish(wish, job, {piece.cloth for piece in pieces})
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
            room = BedRoom(bed.width, bed.height, bed.margin, profile.name)
            loads += arrange(same, room, max(_LEAST_GAP, gap_of(cloth, profile)))
            continue
        bench = bench_of(key, cloth, same, profile)
        if given is not None:
            laid = given_lay(bench, given)
        else:
            seconds = round(wish.seconds * len(same) / len(pieces)) or min(wish.seconds, 1)
            laid = found_lay(bench, kept, profile, seconds, progress)
        lays.append(laid)
        findings += _beyond_reach(bench, job)
        loads += _loads(laid, bench, profile)
        parted = continuations_of(laid.lay, laid.pieces, laid.frames, profile.bed, bench.reach)
        continuations |= {(key, number): how for number, how in parted.items()}
    found = bool(wish.seconds and lays and given is None)
    return LaidOut(tuple(loads), tuple(lays), continuations, findings, found)


def _require_one_wish(wish: LayWish, job: Job, used: Set[str]) -> None:
    """Refuse wishes that contradict each other, and those where nothing can be laid."""
    if wish.given is not None and wish.seconds:
        raise InputError(
            "a lay is given, and time to look for one",
            remedy="Use --lay or --time, one of them.",
        )
    known = any(job.said.cloths.get(key, Cloth()).width is not None for key in used)
    if (wish.given is not None or wish.seconds) and not known:
        raise InputError(
            "nothing can be laid: the width of the cloth is not known",
            Source(file=job.file),
            'Write width = "1500 mm" under [cloths.NAME] in the job.',
        )


def _beyond_reach(bench: Bench, job: Job) -> tuple[Finding, ...]:
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


def _loads(laid: LaidCloth, bench: Bench, profile: Profile) -> list[Load]:
    """Give the frames in bed coordinates, with words where the cloth lies."""
    out = []
    for number, frame in enumerate(laid.frames, start=1):
        stock = laid.lay.stocks[frame.stock]
        matrix = cloth_to_bed(profile.bed, bench.reach, frame.start)
        pieces = tuple(moved_piece(piece, matrix) for piece in frame.pieces)
        by_machine = profile.advance is not None
        if frame.advance > 0 and not by_machine:
            # As the machine must be told, where its cloth was measured to go otherwise.
            told = frame.advance / profile.compensation.advance_scale
            note = f"{stock.name}: advance the cloth by {format_length(told)}"
            if any(math.isfinite(low) for low, _ in frame.spans.values()):
                note += ", its crosses to where the pen draws them again"
        else:
            end = format_length(profile.bed.margin)
            edge = format_length(bench.reach.offset)
            note = f"{stock.name}: its end {end}, its near edge {edge} in from the bed's edges"
        goes_on = by_machine and number > 1 and laid.frames[number - 2].stock == frame.stock
        advance = frame.advance if by_machine else 0.0
        out.append(Load(laid.lay.cloth, number, pieces, note, advance, goes_on))
    return out
