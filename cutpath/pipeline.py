"""The stages in order: from a drawing or job to machine files that are proved.

The only module that knows all stages. It reads what the user named and gives values; who writes
them to disk is ``delivery``, called by the command line.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from cutpath.checking import walked
from cutpath.cut_file import CutFile, cut_file
from cutpath.cut_proof import whole_proof
from cutpath.delivery import PROOF, file_names
from cutpath.effort import rounds_for
from cutpath.errors import InputError, Source
from cutpath.lay_report import lay_facts, lay_pictures
from cutpath.laying import LaidOut, lay_out
from cutpath.model import Drawing, Finding, Piece, Role
from cutpath.one_file import file_groups, file_numbers, sitting_of
from cutpath.path.arranging import renamed_apart
from cutpath.path.piece_making import Marking, make_pieces
from cutpath.planning import Planned, Progress, Request, plan, quiet
from cutpath.purchasing import Purchases, purchase_facts, purchases
from cutpath.run_making import RunTitle, machine_word
from cutpath.seam_report import Verdict
from cutpath.settings.job import Job
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.profile import Profile
from cutpath.settings.run_file import run_text
from cutpath.webbing_loads import webbing_loads


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
        files.append(cut_file(title, sitting, planned, machine))
    findings = (*planned.findings, *found, *laid.findings, *left_out, *_seams_out(planned))
    proof = whole_proof(files, planned, profile, request)
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
    files[PROOF] = (text + "\n").encode("utf-8")
    machine_files = [name for file in outcome.files for name in (file.name, file.run_name)]
    return files, [] if outcome.passed else machine_files
