"""One job prepared: bytes in, bytes out, no file shared.

The same function serves every process of a pool and every worker of a cluster, so the bytes are the
same wherever a job is prepared. It writes the job and its drawing into a temporary folder of its
own, which is gone when it returns.
"""

from __future__ import annotations

import pickle
import tempfile
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from cutpath.batching.program import differences, program_mark
from cutpath.errors import CutpathError
from cutpath.model import Finding
from cutpath.pipeline import Cut, cut, files_to_deliver
from cutpath.planning import Request
from cutpath.purchasing import purchase_lines
from cutpath.run_making import machine_word
from cutpath.settings.profile import Profile
from cutpath.sheeting import make_sheet, sheet_html, sheet_pdf

_ONE_AT_A_TIME = threading.Lock()
"""A cluster's worker may have several threads; the libraries below were not made for them."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is wanted of every job; lengths in mm, None leaves it to the job.

    ``machine`` is what the profile is called by.
    """

    machine: str
    profile: Profile
    allowance: float | None = None
    units: str | None = None
    join: float | None = None
    rounds: int | None = None
    with_sheet: bool = True
    page: str = "A4"

    def as_dict(self) -> dict[str, Any]:
        """Give the options as plain values; what the profile says is told by its own digest."""
        return {
            "machine": machine_word(self.machine),
            "allowance_mm": self.allowance,
            "units": self.units,
            "join_mm": self.join,
            "rounds": self.rounds,
            "sheet": self.page if self.with_sheet else None,
        }


@dataclass(frozen=True, slots=True)
class Task:
    """A job as bytes. ``files`` are named as the user names them, the job (or bare drawing) first.

    ``lay`` is the lay that is kept beside the job, by its name.
    """

    name: str
    source: tuple[str, bytes]
    wishes: Wishes
    drawing: tuple[str, bytes] | None = None
    lay: tuple[str, bytes] | None = None


@dataclass(frozen=True, slots=True)
class Failure:
    """Why a job could not be prepared: what, where, and how to mend it."""

    message: str
    where: str = ""
    remedy: str = ""

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a job came to: its files by name and plain facts; with a failure no machine file."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    facts: Mapping[str, Any] = field(default_factory=dict)
    failure: Failure | None = None


def prepare(task: Task, scratch: str | None = None) -> Outcome:
    """Cut, prove and write the sheet of one job; every mistake becomes a failure in words.

    ``scratch`` is where the temporary folder is made.
    """
    with _ONE_AT_A_TIME, tempfile.TemporaryDirectory(prefix="cutpath-", dir=scratch) as place:
        folder = Path(place)
        try:
            return _prepared(task, folder)
        except CutpathError as error:
            where = str(error.source).replace(f"{folder / 'job'}", "").lstrip("/\\")
            return Outcome(failure=Failure(error.message, where, error.remedy))
        except MemoryError:
            words = "there is not enough memory for this job"
            return Outcome(failure=Failure(words, "", "Use fewer --workers, or a simpler drawing."))
        except Exception as error:
            words = f"cutpath made a mistake ({type(error).__name__}: {error})"
            return Outcome(
                failure=Failure(words, "", "Please report it with the drawing and the job.")
            )


def prepare_packed(mark: str, packed: bytes) -> bytes:
    """Prepare a packed task on another machine, if the program there is ours; give it packed.

    The mark is compared before anything is unpacked, so that another version is told in words.
    """
    here = program_mark()
    if here != mark:
        words = f"a worker of the cluster runs another program: {differences(mark, here)}"
        failure = Failure(words, "", "Install the same versions on all workers.")
        return pickle.dumps(Outcome(failure=failure))
    return pickle.dumps(prepare(pickle.loads(packed)))


def _prepared(task: Task, folder: Path) -> Outcome:
    source = _laid_down(folder / "job", task.source)
    drawing = _laid_down(folder / "drawing", task.drawing) if task.drawing else None
    if task.lay is not None:
        _laid_down(folder / "job", task.lay)
    wishes = task.wishes
    request = Request(
        source, wishes.machine, wishes.allowance, wishes.units, wishes.join, rounds=wishes.rounds
    )
    request = replace(request, drawing=drawing, profile=wishes.profile)
    outcome = cut(request)
    files, _ = files_to_deliver(outcome)
    if wishes.with_sheet and source.suffix.lower() == ".toml":
        _, sheet = make_sheet(request, outcome=outcome)
        files["work-sheet.html"] = sheet_html(sheet)
        files["work-sheet.pdf"] = sheet_pdf(sheet, wishes.page)
    return Outcome(files, _facts(outcome), None if outcome.passed else _proof_failure(outcome))


def _laid_down(folder: Path, file: tuple[str, bytes]) -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / file[0]
    path.write_bytes(file[1])
    return path


def _proof_failure(outcome: Cut) -> Failure:
    off, allowed = outcome.proof["deviation_mm"], outcome.proof["tolerance_mm"]
    far = "some lines are not cut at all" if off is None else f"{off} mm off, {allowed} mm allowed"
    return Failure(
        f"the proof is not passed: {far}",
        "proof.json",
        "Look at the profile: resolution, chord_tolerance, tolerance and blade_offset.",
    )


def _facts(outcome: Cut) -> dict[str, Any]:
    proof = outcome.proof
    return {
        "name": outcome.job.name,
        "pieces": sum(len(file.load.pieces) for file in outcome.files),
        "time_s": proof["time_s"],
        "deviation_mm": proof["deviation_mm"],
        "tolerance_mm": proof["tolerance_mm"],
        "machine_files": [file.name for file in outcome.files] if outcome.passed else [],
        "to_buy": [line.strip() for line in purchase_lines(outcome.bought) if line != "To buy:"],
        "notes": [_told(finding) for finding in outcome.findings],
    }


def _told(finding: Finding) -> str:
    place = str(finding.source)
    return f"{place}: {finding.message}" if place else finding.message
