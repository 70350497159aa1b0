"""One machine file with all that belongs to it: proof, pictures, run.

Part of the pipeline: one sitting at the machine goes in, what is delivered for it comes out.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from cutpath.effort import effort_facts
from cutpath.model import Load, Toolpath
from cutpath.one_file import Sitting
from cutpath.planning import Planned
from cutpath.proving import Written, travel_on_bed, write_and_prove
from cutpath.run_making import RunTitle, make_run
from cutpath.run_model import Run
from cutpath.settings.profile import Profile
from cutpath.settings.run_file import run_file_name
from cutpath.sheet.picture import Picture, draw_picture
from cutpath.tip_view import draw_tip


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


def cut_file(title: RunTitle, sitting: Sitting, planned: Planned, profile: Profile) -> CutFile:
    """Write and prove the file of one ``sitting``, and draw it."""
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
