"""What is left of a job → a run of its own: written anew, proved, with a check mark before it.

Part of the pipeline: it joins the stages that write and read machine files.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from pathlib import Path

from cutpath.check_mark import check_mark
from cutpath.delivery import slug
from cutpath.errors import FitError, InputError, Source
from cutpath.model import Feature, Pause, Toolpath
from cutpath.proving import Written, write_and_prove
from cutpath.run_making import RunTitle, make_run
from cutpath.run_model import Run, RunStroke
from cutpath.settings.profile import Profile

_REST = "-rest"
_AGAIN = "-again"
_STAY = "the cloth stays where it lies"
_NEAR = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """The run of what is left.

    ``check`` is a run of the check mark alone, None where no pen can draw one; ``words`` tell what
    to look at, and are empty where nothing on the bed is known to be done.
    """

    run: Run
    check: Run | None
    words: str


def rest_of(run: Run, start: int, begun: int) -> Rest:
    """Make a run of the strokes from number ``start`` on; those from ``begun`` on were not begun.

    Raises InputError where nothing is left, or where the cloth was moved on since; MachineError and
    FitError as writing and proving do.
    """
    count = len(run.strokes)
    if not 0 <= start < count:
        raise InputError(
            "nothing is left to cut" if start == count else f"there is no stroke {start + 1}",
            Source(file=run.name),
            f"It has {count} strokes. Look at the bed: take the job as done, or say from which "
            "stroke on it is to be cut (--from).",
        )
    moved_on = _moved_on(run)
    now = moved_on[min(max(begun, start + 1), count) - 1]
    if begun > start and moved_on[start] < now - _NEAR:
        raise InputError(
            f"stroke {start + 1} lies {now - moved_on[start]:.0f} mm back: "
            "the cloth was moved on since",
            Source(file=run.name),
            "Resume from a later stroke, and cut the piece again on fresh cloth.",
        )
    strokes = [stroke for stroke in run.strokes[start:] if stroke.toolpath.feature != Feature.CHECK]
    paths = [stroke.toolpath for stroke in strokes]
    # It cooled while everybody looked; and a cloth that moved on does not do so twice.
    paths[0] = replace(paths[0], pause=None, advance=0.0 if start < begun else paths[0].advance)
    done = [
        stroke.toolpath
        for number, stroke in enumerate(run.strokes[:start])
        if abs(moved_on[number] - moved_on[start]) < _NEAR
    ]
    mark = None if paths[0].advance else check_mark(done, strokes[0], run.profile)
    if mark is None:
        return Rest(_written(run, paths, _REST), None, "")
    whole = _written(run, [*mark.paths, *paths], _REST)
    is_drawn = not any(path.is_dry for path in mark.paths)
    return Rest(whole, _written(run, mark.paths, "-check") if is_drawn else None, mark.words)


def piece_of(run: Run, piece: str) -> Run:
    """Make a run of one piece alone, to cut it again on fresh cloth laid as before.

    Raises InputError for a piece that is not in ``run``; MachineError and FitError as writing and
    proving do.
    """
    numbers = list(run.strokes_of(piece))
    if not numbers:
        raise InputError(
            f"there is no piece '{piece}' in {run.name}",
            remedy=f"It has: {', '.join(run.pieces)}.",
        )
    moved_on = _moved_on(run)
    paths: list[Toolpath] = []
    at = moved_on[numbers[0]]
    for number in numbers:
        stroke = run.strokes[number]
        path = replace(stroke.toolpath, advance=moved_on[number] - at)
        at = moved_on[number]
        if path.feature is not Feature.CHECK:
            paths.append(_rested(path, run.profile, stroke, is_first=not paths))
    return _written(run, paths, f"{_AGAIN}-{slug(piece)}")


def _rested(path: Toolpath, profile: Profile, stroke: RunStroke, *, is_first: bool) -> Toolpath:
    """Let what is near cool: the work that filled the time before is not in this file."""
    seconds = profile.tools[stroke.tool].cool_time
    if not seconds or is_first:
        return replace(path, pause=None if is_first else path.pause)
    at = path.pause.at if path.pause is not None else path.chain.first
    return replace(path, pause=Pause(at, seconds))


def _moved_on(run: Run) -> list[float]:
    """Give how far the cloth was moved on up to each stroke, mm."""
    return list(accumulate(stroke.toolpath.advance for stroke in run.strokes))


def _written(run: Run, paths: Sequence[Toolpath], what: str) -> Run:
    written = write_and_prove(paths, run.profile)
    name = _name(run.name, what)
    if not written.proof.passed:
        raise FitError(
            f"the file of what is left does not pass its proof: {_failed(written)}",
            Source(file=name),
            "Cut what is left by a job of its own.",
        )
    note = run.note if what.startswith(_AGAIN) else _STAY
    title = RunTitle(name, run.job, run.machine, run.cloth, note)
    return make_run(title, paths, written, run.profile)


def _name(name: str, what: str) -> str:
    """Give NAME-rest.plt of NAME.plt, and of NAME-rest.plt too."""
    stem = Path(name).stem.removesuffix(_REST)
    return f"{stem}{what}{Path(name).suffix}"


def _failed(written: Written) -> str:
    proof = written.proof.as_dict()
    checks = [check.name for check in written.proof.checks if not check.holds]
    off = proof["deviation_mm"]
    far = "some lines would not be cut" if off is None else f"{off} mm off"
    return ", ".join([*checks, *([] if checks else [far])])
