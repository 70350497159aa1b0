"""A bare drawing to a first job file: its panels and edges as they are, its seams as guessed."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutpath.errors import InputError, Source
from cutpath.geometry.measure import length
from cutpath.model import Drawing, EdgeName, Finding, Panel
from cutpath.planning import Progress, Request, plan, quiet
from cutpath.revision import Paired
from cutpath.settings.job_file import Finishes
from cutpath.settings.job_text import EdgeText, JobText, PanelText, SeamText, job_text, quoted
from cutpath.start_names import JobNames, job_names
from cutpath.start_words import guess_words
from cutpath.walk.free_edges import FreeEdge, free_edges
from cutpath.walk.guessing import SeamGuess, guess_seams

_USUAL_NAME = "job.toml"


@dataclass(frozen=True, slots=True)
class StartRequest:
    """What to start from, and where the job file will stand; lengths in mm."""

    drawing: Path
    place: Path
    units: str | None = None
    join: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Started:
    """A first job file's text, and what it was made from.

    ``panels`` are as in the drawing; ``names`` give panels, and edges as "panel/edge", as the job
    has them.
    """

    text: str
    drawing: Drawing
    panels: tuple[Panel, ...]
    names: JobNames
    guesses: tuple[SeamGuess, ...]
    free: tuple[FreeEdge, ...]
    findings: tuple[Finding, ...]

    @property
    def seams(self) -> tuple[SeamGuess, ...]:
        """Give the guesses that the job holds; the others are questions in it."""
        return tuple(guess for guess in self.guesses if guess.is_likely)


def job_place(drawing: Path, out: Path | None, *, replace: bool) -> Path:
    """Give where the job file goes: ``out``, else job.toml beside the drawing.

    Raises InputError when something is there and ``replace`` does not allow to write over it, and
    for a name that no job file has.
    """
    place = drawing.parent / _USUAL_NAME if out is None else out
    if place.is_dir():
        place = place / _USUAL_NAME
    if place.suffix.lower() != ".toml":
        raise InputError(
            "a job file's name ends in .toml",
            Source(file=str(place)),
            f"Write --out {place.with_suffix('.toml')}.",
        )
    if place.exists() and not replace:
        raise InputError(
            "this file is there already",
            Source(file=str(place)),
            "Choose another name with --out, or write over it with --replace.",
        )
    return place


def start(request: StartRequest, progress: Progress = quiet) -> Started:
    """Read a drawing, guess its seams and write the text of its job.

    Raises InputError for a drawing that cannot be used.
    """
    if request.drawing.suffix.lower() == ".toml":
        raise InputError(
            "this is a job file, not a drawing",
            Source(file=str(request.drawing)),
            "Name a DXF or SVG drawing; where a job is there already, work on that.",
        )
    # The panels do not depend on the width; the job gets the usual one.
    wanted = Request(request.drawing, "", Finishes().plain.width, request.units, request.join)
    planned = plan(wanted, progress)
    panels = tuple(each.panel for each in planned.plans)
    progress("guessing seams", 0, 1)
    guesses = guess_seams(panels)
    sewn = {name for guess in guesses if guess.is_likely for name in (guess.first, guess.second)}
    free = free_edges(panels, sewn)
    names = job_names(panels)
    text = job_text(
        JobText(
            name=request.drawing.stem,
            drawing=_from_job(request),
            units=request.units,
            join=request.join,
            panels=_panel_texts(panels, names, guesses, free, planned.revisions.pairs),
            seams=tuple(_seam_text(guess, names) for guess in guesses),
        )
    )
    return Started(text, planned.drawing, panels, names, guesses, free, planned.findings)


def _from_job(request: StartRequest) -> str:
    """Give the way from the job file's folder to the drawing."""
    drawing = request.drawing.resolve()
    try:
        way = Path(os.path.relpath(drawing, request.place.resolve().parent))
    except ValueError:  # another drive
        way = drawing
    return way.as_posix()


def _panel_texts(
    panels: Sequence[Panel],
    names: JobNames,
    guesses: Sequence[SeamGuess],
    free: Sequence[FreeEdge],
    pairs: Sequence[Paired],
) -> tuple[PanelText, ...]:
    partners = {
        one: names.path(other)
        for guess in guesses
        for one, other in ((guess.first, guess.second), (guess.second, guess.first))
    }
    unjoined = {each.name: each for each in free}
    pair_of = {pair.second: names.panels[pair.first] for pair in pairs}
    return tuple(
        PanelText(
            names.panels[panel.name],
            panel.name,
            _suggestions(panel, pair_of.get(panel.name, "")),
            tuple(
                _edge_text(EdgeName(panel.name, edge.name), panel, names, partners, unjoined)
                for edge in panel.edges
            ),
        )
        for panel in panels
    )


def _suggestions(panel: Panel, twin: str) -> tuple[tuple[str, str], ...]:
    out = []
    if twin:
        out.append((f"pair_with = {quoted(twin)}", "its mirror image, it seems: compare them"))
        out.append(('pair = "mean"', "cut both to the mean of both"))
    if panel.inner:
        lines = "the closed line inside is" if len(panel.inner) == 1 else (
            f"the {len(panel.inner)} closed lines inside are"
        )  # fmt: skip
        out.append(('inner = "draw"', f"{lines} cut out, unless this says drawn"))
    return tuple(out)


def _edge_text(
    name: EdgeName,
    panel: Panel,
    names: JobNames,
    partners: Mapping[EdgeName, str],
    unjoined: Mapping[EdgeName, FreeEdge],
) -> EdgeText:
    count = sum(mark.edge == name.edge for mark in panel.marks)
    marks = f"{count or 'no'} {'mark' if count == 1 else 'marks'}"
    chain = panel.edge(name.edge).chain
    size = f"{length(chain):.1f} mm, {marks}"
    edge = unjoined.get(name)
    if edge is None:
        return EdgeText(names.edges[name], name.edge, "", f"{size}; sewn to {partners[name]}")
    perhaps = f"perhaps sewn to {partners[name]}, see below; else " if name in partners else ""
    remark = f"{size}; {perhaps}{edge.question}"
    return EdgeText(names.edges[name], name.edge, edge.finish, remark)


def _seam_text(guess: SeamGuess, names: JobNames) -> SeamText:
    return SeamText(
        (names.path(guess.first), names.path(guess.second)),
        not guess.reverse,
        tuple(guess_words(guess, names)),
        not guess.is_likely,
    )


def facts(started: Started) -> dict[str, Any]:
    """Give everything found as plain values, mm, rounded."""
    names = started.names
    return {
        "panels": [
            {
                "name": names.panels[panel.name],
                "from": panel.name,
                "edges": [names.edges[EdgeName(panel.name, edge.name)] for edge in panel.edges],
                "marks": len(panel.marks),
            }
            for panel in started.panels
        ],
        "seams": [
            {
                "join": [names.path(guess.first), names.path(guess.second)],
                "same_way": not guess.reverse,
                "certainty": round(guess.certainty, 3),
                "written": guess.is_likely,
                "reasons": list(guess.reasons),
                "fit_as_well": [names.path(rival) for rival in guess.rivals],
                "copies": [names.path(copy) for copy in guess.copies],
                "kink_deg": round(math.degrees(guess.kink), 2),
            }
            for guess in started.guesses
        ],
        "free_edges": [
            {
                "edge": names.path(edge.name),
                "length_mm": round(edge.length, 3),
                "marks": edge.marks,
                "finish": edge.finish,
                "question": edge.question,
            }
            for edge in started.free
        ],
    }
