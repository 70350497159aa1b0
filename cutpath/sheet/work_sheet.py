"""The work sheet as one self-contained HTML page that prints on A4 and Letter."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass

from jinja2 import Environment, PackageLoader, StrictUndefined

from cutpath.geometry.chain import Chain
from cutpath.model import Piece
from cutpath.sewing_plan import SewingPlan
from cutpath.sheet.thumbnail import thumbnail


@dataclass(frozen=True, slots=True, eq=False)
class PieceLine:
    """One row of the piece list: a piece, how many alike, and what is said of it.

    ``width`` and ``height`` are those of the cut line, mm; ``area`` mm² of one.
    """

    piece: Piece
    count: int
    mirrored: int
    cloth: str
    face: str
    grain: str
    width: float
    height: float
    area: float
    allowances: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class SeamLine:
    """One row of the seam list."""

    letter: str
    first: str
    second: str
    allowances: str
    length: str
    marks: str
    ease: str
    rows: str
    verdict: str
    step: int


@dataclass(frozen=True, slots=True)
class PartLine:
    """One derived part and the numbers that make it."""

    name: str
    kind: str
    where: str
    numbers: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class BuyLine:
    """One thing to buy: net, with waste apart, and what it costs where the job says so."""

    kind: str
    name: str
    net: str
    waste: str
    total: str
    cost: str
    used_for: str


@dataclass(frozen=True, slots=True, eq=False)
class WorkSheet:
    """All that the page shows, in words; ``plan`` is SVG text.

    ``outlines`` are the panels' edges and ``plan_words`` their names and seams' letters, for a plan
    that is drawn anew.
    """

    job: str
    drawing: str
    facts: tuple[tuple[str, str], ...]
    plan: str
    pieces: tuple[PieceLine, ...]
    seams: tuple[SeamLine, ...]
    parts: tuple[PartLine, ...]
    buying: tuple[BuyLine, ...]
    total_cost: str
    sewing: SewingPlan
    cautions: tuple[str, ...]
    labels: tuple[tuple[str, str, str], ...]
    outlines: tuple[Chain, ...] = ()
    plan_words: tuple[tuple[str, float, float], ...] = ()


def work_sheet(sheet: WorkSheet) -> str:
    """Give the page as HTML text, the same for the same input."""
    environment = Environment(
        loader=PackageLoader("cutpath.sheet", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    page = environment.get_template("work_sheet.html")
    return page.render(
        sheet=sheet,
        plan=_as_image(sheet.plan),
        thumbnails=[thumbnail(line.piece) for line in sheet.pieces],
        steps=_numbered(sheet.sewing),
    )


def _as_image(svg: str) -> str:
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode("utf-8")).decode("ascii")


def _numbered(plan: SewingPlan) -> Sequence[dict[str, object]]:
    place = {step.name: number for number, step in enumerate(plan.steps, start=1)}
    return [
        {
            "number": number,
            "kind": step.kind.value,
            "words": step.words[:1].upper() + step.words[1:],
            "after": sorted(place[name] for name in set(step.needs)) if len(step.needs) < 9 else [],
            "is_last": len(step.needs) >= 9,
        }
        for number, step in enumerate(plan.steps, start=1)
    ]
