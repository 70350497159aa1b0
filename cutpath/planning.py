"""A drawing and a job understood: panels revised, parts derived, all decided.

Reading what the user named, up to the plans that are cut, checked or printed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from cutpath.errors import InputError, Source, reading
from cutpath.intake.healing import heal, require_closed
from cutpath.intake.reading import read_drawing
from cutpath.intake.size_check import drawing_size
from cutpath.intake.sorting import sort_by_layer
from cutpath.laying import LayWish
from cutpath.model import Drawing, Finding, Panel, Seam
from cutpath.panels.finding import find_panels
from cutpath.panels.planning import plan_panels
from cutpath.panels.seams import seams_of
from cutpath.panels.splitting import Splits, split_plans
from cutpath.part_model import Part
from cutpath.parts.deriving import derive
from cutpath.revise.revising import revise
from cutpath.revision import Revisions
from cutpath.revision_words import revision_findings
from cutpath.settings.job import Job, default_job, read_job
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.panel_plan import PanelPlan
from cutpath.settings.profile import Profile, load_profile
from cutpath.units import format_size
from cutpath.walk.truing import true_seams
from cutpath.walk.walking import walk

Progress = Callable[[str, int, int], None]
"""Told what is being done, how far it is, and how far it goes."""


def quiet(_what: str, _done: int, _whole: int) -> None:
    """Tell nobody."""


@dataclass(frozen=True, slots=True)
class Request:
    """What the user asked for. ``source`` is a job file or a drawing; lengths in mm.

    ``machine`` is a profile's name or file; ``profile`` what it says, where that is known already.
    ``drawing`` is where a job's drawing lies when that is not where the job says.

    ``allowance``, ``units`` and ``join`` None leave it to the job, else to the defaults. ``rounds``
    is the effort for the order of strokes; None: as much as is usual.
    """

    source: Path
    machine: str
    allowance: float | None = None
    units: str | None = None
    join: float | None = None
    lay: LayWish = field(default_factory=LayWish)
    rounds: int | None = None
    drawing: Path | None = None
    profile: Profile | None = None

    def read_profile(self) -> Profile:
        """Give the machine's profile. Raises InputError for a name or file that is none."""
        return self.profile if self.profile is not None else load_profile(self.machine)


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """A drawing understood: its panels with all that the job decides about them.

    ``plans`` are those of the ``traced`` panels and then of the ``parts`` that follow from them;
    ``splits.plans`` are the same as they are cut, panels too wide for their cloth in parts.
    """

    job: Job
    drawing: Drawing
    plans: tuple[PanelPlan, ...]
    traced: tuple[Panel, ...]
    seams: tuple[Seam, ...]
    revisions: Revisions
    parts: tuple[Part, ...]
    findings: tuple[Finding, ...]
    splits: Splits

    @property
    def panels(self) -> dict[str, Panel]:
        """Give all panels as they will be cut, those of derived parts too, by name."""
        return {each.panel.name: each.panel for each in self.plans}


def open_job(request: Request) -> Job:
    """Read the job file, or make the job of a bare drawing; options win over the file.

    Raises InputError for a bad job, or a drawing without --allowance.
    """
    if request.source.suffix.lower() == ".toml":
        job = read_job(request.source, request.drawing)
        if request.allowance is not None:
            raise InputError(
                "--allowance is for a drawing without a job file",
                Source(file=request.source.name),
                'Set the widths in the job: plain = "12.7 mm" in [finishes].',
            )
    else:
        if request.allowance is None and not request.source.exists():
            raise InputError(
                "there is no such drawing",
                Source(file=str(request.source)),
                "Check the name and the folder.",
            )
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
    seams = (*seams, *(seam for part in parts for seam in part.seams))
    splits = split_plans(plans, job, {seam.letter for seam in seams})
    findings = (*found, *unknown, *mended, *seen, *changed, *planned, *derived, *splits.findings)
    return Planned(job, drawing, plans, panels, seams, revisions, parts, findings, splits)


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


def size_words(drawing: Drawing) -> str:
    """Give the drawing's size for people."""
    return format_size(*drawing_size(drawing))
