"""The stages in order: from a drawing or job to machine files that are proved.

The only module that knows all stages. It reads what the user named and gives values; who writes
them to disk is ``delivery``, called by the command line.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutpath.checking import walked
from cutpath.delivery import file_names
from cutpath.effort import effort_facts, rounds_for
from cutpath.errors import InputError, Source
from cutpath.intake.size_check import drawing_size
from cutpath.lay_report import lay_facts, lay_pictures
from cutpath.laying import LaidOut, lay_out
from cutpath.model import Drawing, Finding, Load, Piece, Role, Toolpath
from cutpath.one_file import Sitting, file_groups, file_numbers, sitting_of
from cutpath.path.arranging import renamed_apart
from cutpath.path.piece_making import Marking, make_pieces
from cutpath.planning import Planned, Progress, Request, plan, quiet
from cutpath.proving import Written, travel_on_bed, write_and_prove
from cutpath.purchasing import Purchases, purchase_facts, purchases
from cutpath.run_making import RunTitle, machine_word, make_run
from cutpath.run_model import Run
from cutpath.seam_report import Verdict
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.profile import Profile
from cutpath.settings.run_file import run_file_name, run_text
from cutpath.sheet.picture import Picture, draw_picture
from cutpath.tip_view import draw_tip
from cutpath.webbing_loads import webbing_loads


@dataclass(frozen=True, slots=True, eq=False)
class CutFile:
    """One machine file, its proof and its picture.

    Where the machine moves the cloth on, ``load`` and ``shown`` lie on the cloth, counted as the
    bed does at first; ``toolpaths`` count as it does in their own frames.
    """

    name: str
    load: Load
    toolpaths: tuple[Toolpath, ...]
    shown: tuple[Toolpath, ...]
    written: Written
    effort: dict[str, float | None]
    picture: str
    tip_picture: str | None
    run: Run

    @property
    def run_name(self) -> str:
        """The name of the file that tells what the machine file's bytes do."""
        return run_file_name(self.name)

    @property
    def picture_name(self) -> str:
        """The picture's file name: that of the machine file with another ending."""
        return str(Path(self.name).with_suffix(".svg"))

    @property
    def tip_picture_name(self) -> str:
        """The file name of the magnified picture of the tip."""
        return f"{Path(self.name).stem}-tip.svg"


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """The whole outcome of one request."""

    job: Job
    drawing: Drawing
    profile: Profile
    files: tuple[CutFile, ...]
    findings: tuple[Finding, ...]
    proof: dict[str, Any]
    laid: LaidOut
    lay_pictures: dict[str, str]
    bought: Purchases

    @property
    def passed(self) -> bool:
        """Whether every file passed its proof."""
        return all(file.written.proof.passed for file in self.files)


def pieces_of(
    plans: Sequence[PanelPlan], profile: Profile, progress: Progress = quiet
) -> tuple[tuple[Piece, ...], tuple[Finding, ...]]:
    """Make every piece of every plan, names apart."""
    marking = Marking(
        profile.notches.shape, profile.notches.depth, profile.has_tool_for(Role.DRILL)
    )
    pieces: list[Piece] = []
    findings: list[Finding] = []
    for index, plan_ in enumerate(plans):
        progress("making pieces", index, len(plans))
        made, found = make_pieces(plan_, marking)
        pieces += made
        findings += found
    return renamed_apart(pieces), tuple(findings)


def cut(request: Request, progress: Progress = quiet) -> Cut:
    """Make the machine files of ``request`` with their proofs and pictures.

    Raises InputError for input that cannot be used and MachineError for what the machine cannot do.
    A failed proof is no error here: the outcome says so, and its file must not be delivered.
    """
    profile = request.read_profile()
    planned = plan(request, progress)
    pieces, found = pieces_of(planned.splits.plans, profile, progress)
    if not pieces:
        raise InputError(
            "there is nothing to cut",
            Source(file=planned.job.file),
            "Set a count above 0 for some panel.",
        )
    straps, left_out = webbing_loads(planned.parts, planned.job, profile)
    on_table = pieces
    if not profile.has_tool_for(Role.KNIFE):
        if not straps:
            profile.tool_name_for(Role.KNIFE)  # which says what it has
        on_table = ()
        left_out = (*left_out, _cuts_no_cloth(profile, planned.job))
    laid = lay_out(on_table, planned.job, profile, request.lay, progress)
    groups = [(group, profile) for group in file_groups(laid.loads)]
    groups += [([each.load], each.profile) for each in straps]
    rounds = rounds_for([load for group, _ in groups for load in group], request.rounds)
    files = []
    numbers = file_numbers([group for group, _ in groups])
    names = file_names(planned.job.name, numbers)
    for index, ((group, machine), name) in enumerate(zip(groups, names, strict=True)):
        progress("ordering and writing", index, len(groups))
        sitting = sitting_of(numbers[index][1], group, laid.continuations, machine, rounds)
        title = RunTitle(
            name + profile.file_suffix,
            planned.job.name,
            machine_word(request.machine),
            sitting.load.cloth,
            sitting.load.note,
        )
        files.append(_cut_file(title, sitting, planned, machine))
    findings = (*planned.findings, *found, *laid.findings, *left_out, *_seams_out(planned))
    proof = _proof(files, planned, profile, request)
    pictures = lay_pictures(laid.lays, planned.job.name)
    proof["lays"] = [
        {**lay_facts(each), "picture": name} for each, name in zip(laid.lays, pictures, strict=True)
    ]
    lengths = {each.lay.cloth: each.measures.to_buy for each in laid.lays}
    bought = purchases(planned, pieces, lengths)
    proof |= purchase_facts(bought)
    return Cut(
        planned.job, planned.drawing, profile, tuple(files), findings, proof, laid, pictures, bought
    )


def _seams_out(planned: Planned) -> tuple[Finding, ...]:
    """Say before cloth is cut that seams do not fit; whether to cut all the same is the maker's."""
    out = [each for each in walked(planned) if each.verdict is Verdict.OUT]
    if not out:
        return ()
    letters = ", ".join(each.seam.letter for each in out)
    file = planned.job.file
    return (
        Finding(
            f"seams out of tolerance: {letters}", Source(file=file), f"See: cutpath check {file}"
        ),
    )


def _cuts_no_cloth(profile: Profile, job: Job) -> Finding:
    return Finding(
        f"'{profile.name}' has no knife: its files cut and seal webbing, and no cloth",
        Source(file=job.file),
        "Cut the cloth on another machine.",
    )


def _cut_file(title: RunTitle, sitting: Sitting, planned: Planned, profile: Profile) -> CutFile:
    load, ordered, toolpaths = sitting.load, sitting.ordered, sitting.ordered.toolpaths
    written = write_and_prove(toolpaths, profile)
    facts = effort_facts(ordered, written.clock, profile)
    picture = Picture(
        title=f"{planned.job.name}: {_load_words(load, planned)}",
        notes=(*(load.note.split(". ") if load.note else ()), *_notes(written, profile)),
        bed=(profile.bed.width, profile.bed.height),
        load=load,
        toolpaths=sitting.shown,
        travel=travel_on_bed(written.proof.holders, profile),
        beds=sitting.beds,
    )
    tip = draw_tip(written, profile, picture.title)
    run = make_run(title, toolpaths, written, profile)
    drawn = draw_picture(picture)
    return CutFile(title.name, load, toolpaths, sitting.shown, written, facts, drawn, tip, run)


def _load_words(load: Load, planned: Planned) -> str:
    cloth = next(
        (plan_.cloth_name for plan_ in planned.plans if plan_.cloth == load.cloth), load.cloth
    )
    count = len(load.pieces)
    return f"{cloth}, load {load.number}, {count} {'piece' if count == 1 else 'pieces'}"


def _notes(written: Written, profile: Profile) -> tuple[str, ...]:
    proof = written.proof.as_dict()
    verdict = "passed" if proof["passed"] else "NOT PASSED: this file is not delivered"
    off = proof["deviation_mm"]
    far = "some lines are not cut at all" if off is None else f"largest deviation {off} mm"
    return (f"{profile.name}. Proof {verdict}; {far}, tolerance {proof['tolerance_mm']} mm.",)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _proof(
    files: Sequence[CutFile], planned: Planned, profile: Profile, request: Request
) -> dict[str, Any]:
    """Put the files' proofs together: the worst of each tool stands at the top."""
    proofs = [file.written.proof.as_dict() for file in files]
    worst = max(proofs, key=_strain)
    tools: dict[str, Any] = {}
    for proof in proofs:
        for name, tool in proof["tools"].items():
            if name not in tools or _strain(tool) > _strain(tools[name]):
                tools[name] = tool
    width, height = drawing_size(planned.drawing)
    drawing = planned.job.drawing
    return {
        "passed": all(proof["passed"] for proof in proofs),
        "deviation_mm": worst["deviation_mm"],
        "tolerance_mm": worst["tolerance_mm"],
        "time_s": round(sum(file.written.clock.total for file in files), 1),
        "tools": tools,
        "job": planned.job.name,
        "machine": profile.name,
        "options": {
            "allowance_mm": request.allowance,
            "units": request.units,
            "join_mm": request.join,
        },
        "drawing": {
            "file": planned.drawing.file,
            "unit": planned.drawing.unit,
            "width_mm": round(width, 3),
            "height_mm": round(height, 3),
        },
        "sha256": {
            "job": _digest(request.source.read_bytes()),
            "drawing": _digest(drawing.read_bytes()) if drawing else None,
            "profile": profile.digest(),
        },
        "files": [
            {
                "file": file.name,
                "run": file.run_name,
                "picture": file.picture_name,
                "tip_picture": file.tip_picture_name if file.tip_picture else None,
                "cloth": file.load.cloth,
                "load": file.load.number,
                "pieces": [piece.name for piece in file.load.pieces],
                "time_s": round(file.written.clock.total, 1),
                "tool_time_s": file.written.clock.as_dict(),
                "effort": file.effort,
                **proof,
            }
            for file, proof in zip(files, proofs, strict=True)
        ],
    }


def _strain(proof: dict[str, Any]) -> float:
    deviation, tolerance = proof["deviation_mm"], proof["tolerance_mm"]
    if deviation is None:
        return float("inf")
    return float(deviation) / float(tolerance) if tolerance else float(deviation)


def files_to_deliver(outcome: Cut) -> tuple[dict[str, bytes], list[str]]:
    """Give the files to write and the names to take away.

    When any proof failed no machine file is among them, and those of earlier runs go.
    """
    files: dict[str, bytes] = {}
    for file in outcome.files:
        files[file.picture_name] = file.picture.encode("utf-8")
        if file.tip_picture is not None:
            files[file.tip_picture_name] = file.tip_picture.encode("utf-8")
        if outcome.passed:
            files[file.name] = file.written.data
            files[file.run_name] = run_text(file.run)
    files |= {name: text.encode("utf-8") for name, text in outcome.lay_pictures.items()}
    if outcome.laid.lays:
        files["lay.json"] = outcome.laid.text.encode("utf-8")
    text = json.dumps(outcome.proof, indent=2, ensure_ascii=False)
    files["proof.json"] = (text + "\n").encode("utf-8")
    machine_files = [name for file in outcome.files for name in (file.name, file.run_name)]
    return files, [] if outcome.passed else machine_files
