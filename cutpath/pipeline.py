"""The stages in order: from a drawing or job to machine files that are proved.

The only module that knows all stages. It reads what the user named and gives values; who writes
them to disk is ``delivery``, called by the command line.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from cutpath.delivery import file_names
from cutpath.errors import InputError, Source, reading
from cutpath.intake.healing import heal, require_closed
from cutpath.intake.reading import read_drawing
from cutpath.intake.size_check import drawing_size
from cutpath.intake.sorting import sort_by_layer
from cutpath.laying import LaidOut, lay_facts, lay_out
from cutpath.model import Drawing, Finding, Load, Panel, Piece, Role, Seam, Toolpath
from cutpath.panels.finding import find_panels
from cutpath.panels.planning import plan_panels
from cutpath.panels.seams import seams_of
from cutpath.part_model import Part
from cutpath.parts.deriving import derive
from cutpath.path.arranging import renamed_apart
from cutpath.path.ordering import ordered_toolpaths
from cutpath.path.piece_making import Marking, make_pieces
from cutpath.proving import Written, machine_to_bed, travel_on_bed, write_and_prove
from cutpath.revise.revising import revise
from cutpath.revision import Revisions
from cutpath.revision_words import revision_findings
from cutpath.settings.job import Job, default_job, read_job
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.profile import Profile, load_profile
from cutpath.sheet.picture import Picture, draw_picture
from cutpath.units import format_size
from cutpath.walk.truing import true_seams
from cutpath.walk.walking import walk

_ROUNDS, _FEW_LOADS = 4, 4
"""Effort for the order of strokes; beyond a few loads the cheaper way has to do."""
Progress = Callable[[str, int, int], None]
"""Told what is being done, how far it is, and how far it goes."""


def quiet(_what: str, _done: int, _whole: int) -> None:
    """Tell nobody."""


@dataclass(frozen=True, slots=True)
class Request:
    """What the user asked for. ``source`` is a job file or a drawing; lengths in mm.

    ``allowance``, ``units`` and ``join`` None leave it to the job, else to the defaults.
    """

    source: Path
    machine: str
    allowance: float | None = None
    units: str | None = None
    join: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """A drawing understood: its panels with all that the job decides about them.

    ``plans`` are those of the ``traced`` panels and then of the ``parts`` that follow from them.
    """

    job: Job
    drawing: Drawing
    plans: tuple[PanelPlan, ...]
    traced: tuple[Panel, ...]
    seams: tuple[Seam, ...]
    revisions: Revisions
    parts: tuple[Part, ...]
    findings: tuple[Finding, ...]

    @property
    def panels(self) -> dict[str, Panel]:
        """Give all panels as they will be cut, those of derived parts too, by name."""
        return {each.panel.name: each.panel for each in self.plans}


@dataclass(frozen=True, slots=True, eq=False)
class CutFile:
    """One load's machine file, its proof and its picture."""

    name: str
    load: Load
    toolpaths: tuple[Toolpath, ...]
    written: Written
    picture: str

    @property
    def picture_name(self) -> str:
        """The picture's file name: that of the machine file with another ending."""
        return str(Path(self.name).with_suffix(".svg"))


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

    @property
    def passed(self) -> bool:
        """Whether every file passed its proof."""
        return all(file.written.proof.passed for file in self.files)


def open_job(request: Request) -> Job:
    """Read the job file, or make the job of a bare drawing; options win over the file.

    Raises InputError for a bad job, or a drawing without --allowance.
    """
    if request.source.suffix.lower() == ".toml":
        job = read_job(request.source)
        if request.allowance is not None:
            raise InputError(
                "--allowance is for a drawing without a job file",
                Source(file=request.source.name),
                'Set the widths in the job: plain = "12.7 mm" in [finishes].',
            )
    else:
        if request.allowance is None:
            raise InputError(
                "a drawing alone does not say how wide the allowance is",
                Source(file=request.source.name),
                "Add --allowance 12.7mm (or 0mm to cut on the line), or write a job file.",
            )
        job = default_job(request.allowance, request.source)
    options = {"units": request.units, "join": request.join}
    wanted = {key: value for key, value in options.items() if value is not None}
    return replace(job, said=job.said.model_copy(update=wanted)) if wanted else job


def plan(request: Request, progress: Progress = quiet) -> Planned:
    """Read the drawing, mend it, find its panels and apply the job.

    Raises InputError for whatever cannot be used, with its place and mend.
    """
    job = open_job(request)
    if job.drawing is None:
        raise InputError("there is no drawing", remedy="Name a drawing or a job file.")
    progress("reading", 0, 1)
    drawing, found = read_drawing(job.drawing, job.said.units)
    drawing = sort_by_layer(drawing, job.said.layers)
    progress("healing", 0, 1)
    with reading(drawing.file):
        healed, mended = heal(drawing.curves, job.said.join)
        require_closed(healed, job.said.join)
        progress("finding panels", 0, 1)
        panels, seen = find_panels(drawing, healed.loops, healed.open, job)
        panels, revisions = revise(panels, job)
        seams = seams_of(panels, job)
        panels, revisions = _with_true_seams(panels, seams, revisions)
        plans, planned = plan_panels(panels, job)
        plans, parts = derive(plans, job)
    unknown = layers_not_drawn(drawing, job)
    changed = revision_findings(revisions, drawing.file)
    derived = (finding for part in parts for finding in part.findings)
    findings = (*found, *unknown, *mended, *seen, *changed, *planned, *derived)
    seams = (*seams, *(seam for part in parts for seam in part.seams))
    return Planned(job, drawing, plans, panels, seams, revisions, parts, findings)


def _with_true_seams(
    panels: Sequence[Panel], seams: Sequence[Seam], revisions: Revisions
) -> tuple[tuple[Panel, ...], Revisions]:
    """Share the small differences of seams that ask for it."""
    if not any(seam.true for seam in seams):
        return tuple(panels), revisions
    by_name = {panel.name: panel for panel in panels}
    by_name, trued = true_seams(by_name, walk(by_name, seams))
    return tuple(by_name.values()), replace(revisions, trued=trued)


def layers_not_drawn(drawing: Drawing, job: Job) -> tuple[Finding, ...]:
    """Tell of layers that the job speaks of and the drawing has not: a slip of the pen, likely."""
    sources = [curve.source for curve in drawing.curves]
    sources += [spot.source for spot in drawing.spots] + [text.source for text in drawing.texts]
    drawn = {source.layer for source in sources}
    return tuple(
        Finding(
            f"the drawing has nothing on a layer '{layer}'",
            job.place("layers", layer),
            nearest_word(layer, sorted(drawn)),
        )
        for layer in job.said.layers
        if layer not in drawn
    )


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
    profile = load_profile(request.machine)
    planned = plan(request, progress)
    pieces, found = pieces_of(planned.plans, profile, progress)
    if not pieces:
        raise InputError(
            "there is nothing to cut",
            Source(file=planned.job.file),
            "Set a count above 0 for some panel.",
        )
    laid = lay_out(pieces, planned.job, profile, progress)
    loads = laid.loads
    files = []
    names = file_names(planned.job.name, [(load.cloth, load.number) for load in loads])
    for index, (load, name) in enumerate(zip(loads, names, strict=True)):
        progress("ordering and writing", index, len(loads))
        toolpaths = _ordered(load, profile, effort(loads))
        files.append(_cut_file(name + profile.file_suffix, load, toolpaths, planned, profile))
    findings = (*planned.findings, *found)
    proof = _proof(files, planned, profile, request)
    proof["lays"] = [lay_facts(each) for each in laid.lays]
    return Cut(planned.job, planned.drawing, profile, tuple(files), findings, proof, laid)


def effort(loads: Sequence[Load]) -> int:
    """Give the rounds that the order of strokes is worth: less where there are many loads."""
    return _ROUNDS if len(loads) <= _FEW_LOADS else 1


def _ordered(load: Load, profile: Profile, rounds: int) -> tuple[Toolpath, ...]:
    # The head is taken to stand at the machine's own origin at first.
    return ordered_toolpaths(load, machine_to_bed(profile)[:, 2], rounds)


def _cut_file(
    name: str, load: Load, toolpaths: tuple[Toolpath, ...], planned: Planned, profile: Profile
) -> CutFile:
    written = write_and_prove(toolpaths, profile)
    picture = Picture(
        title=f"{planned.job.name}: {_load_words(load, planned)}",
        notes=_notes(written, profile),
        bed=(profile.bed.width, profile.bed.height),
        load=load,
        toolpaths=toolpaths,
        travel=travel_on_bed(written.reading, profile),
    )
    return CutFile(name, load, toolpaths, written, draw_picture(picture))


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
                "picture": file.picture_name,
                "cloth": file.load.cloth,
                "load": file.load.number,
                "pieces": [piece.name for piece in file.load.pieces],
                "time_s": round(file.written.clock.total, 1),
                "tool_time_s": file.written.clock.as_dict(),
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
        if outcome.passed:
            files[file.name] = file.written.data
    text = json.dumps(outcome.proof, indent=2, ensure_ascii=False)
    files["proof.json"] = (text + "\n").encode("utf-8")
    return files, [] if outcome.passed else [file.name for file in outcome.files]


def size_words(drawing: Drawing) -> str:
    """Give the drawing's size for people."""
    return format_size(*drawing_size(drawing))
