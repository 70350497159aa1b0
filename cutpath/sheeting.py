"""The work sheet of a job: what is cut, joined, made, bought and sewn, and in what order."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.checking import walked
from cutpath.errors import InputError, Source
from cutpath.geometry.measure import bounds, signed_area
from cutpath.model import Role
from cutpath.panel_words import panel_words
from cutpath.panels.splitting import Splits
from cutpath.parts.buying import sewing_length
from cutpath.pipeline import Cut, cut
from cutpath.planning import Planned, Progress, Request, plan, quiet
from cutpath.purchasing import purchases
from cutpath.seam_report import SeamReport
from cutpath.settings.profile import Profile
from cutpath.sewing.ordering import sewing_plan
from cutpath.sewing.steps import steps_of
from cutpath.sewing_plan import SewingPlan
from cutpath.sheet.seam_sheet import draw_seam_sheet
from cutpath.sheet.work_sheet import PieceLine, WorkSheet, work_sheet
from cutpath.sheet.work_sheet_pdf import work_sheet_pdf
from cutpath.sheet_lines import (
    buy_lines,
    label_lines,
    part_lines,
    piece_lines,
    seam_lines,
    split_lines,
)
from cutpath.units import format_size

_HEAT = (
    "A hot knife or iron burns, and what it melts smokes: wear gloves, keep water and an "
    "extinguisher at hand, ventilate or draw the fumes off at the source."
)
_PVC = (
    "Never put PVC film or PVC-coated cloth under heat: it gives off hydrogen chloride, which "
    "burns eyes and lungs. Limit in air at work: 5 ppm at any moment (OSHA, 29 CFR 1910.1000, "
    "Table Z-1)."
)
_ALWAYS = (
    "Knives, scissors and needles cut: cut away from yourself, keep fingers clear of the needle, "
    "switch the machine off before you thread it or change a needle.",
    "A gantry moves without warning: keep clear of the bed, and before you reach in stop the "
    "machine and lock it out.",
    "Local rules, the machine's and the materials' own papers and trained practice decide.",
)


def make_sheet(
    request: Request, progress: Progress = quiet, outcome: Cut | None = None
) -> tuple[Planned, WorkSheet]:
    """Gather the work sheet of a job; ``request.machine`` may be empty.

    ``outcome`` is what cutting the same request came to, where that is known already.

    Raises InputError for a bare drawing and for what cannot be used.
    """
    if request.source.suffix.lower() != ".toml":
        raise InputError(
            "a work sheet needs a job file",
            Source(file=request.source.name),
            f"Write one with: cutpath start {request.source.name}",
        )
    planned = plan(request, progress)
    profile = request.read_profile() if request.machine else None
    traced = {panel.name for panel in planned.traced}
    plans = [each for each in planned.plans if each.panel.name in traced]
    progress("walking seams", 0, 1)
    panels = planned.panels
    reports = [
        report
        for report in walked(planned)
        if {report.seam.first.panel, report.seam.second.panel} <= traced
    ]
    progress("ordering the sewing", 0, 1)
    areas = {name: abs(signed_area(panels[name].outline)) for name in traced}
    steps = steps_of(plans, planned.seams, planned.parts, planned.job, _made_up(planned.splits))
    sewing = sewing_plan(steps, areas, planned.job)
    pieces, all_pieces = piece_lines(planned.splits.plans, profile)
    if outcome is None and request.machine:
        outcome = cut(request, progress)
    bought = outcome.bought if outcome is not None else purchases(planned, all_pieces)
    seams = tuple(report.seam for report in reports)
    sheet = WorkSheet(
        job=planned.job.name,
        drawing=planned.drawing.file,
        facts=(*_facts(planned, pieces, reports, sewing, profile), *_table_time(outcome)),
        plan=draw_seam_sheet(list(planned.traced), seams, reports, planned.job.name),
        pieces=pieces,
        seams=(*seam_lines(reports, plans, sewing), *split_lines(planned.splits, sewing)),
        parts=part_lines(planned.parts),
        buying=tuple(buy_lines(bought)),
        total_cost="" if bought.cost is None else f"{bought.cost:.2f} {bought.currency}".strip(),
        sewing=sewing,
        cautions=_cautions(planned, profile),
        labels=tuple(label_lines(pieces)),
        outlines=tuple(edge.chain for panel in planned.traced for edge in panel.edges),
        plan_words=_plan_words(planned),
    )
    return planned, sheet


def sheet_pdf(sheet: WorkSheet, page: str) -> bytes:
    """Give the sheet as a PDF on "A4" or "Letter"."""
    return work_sheet_pdf(sheet, page)


def sheet_html(sheet: WorkSheet) -> bytes:
    """Give the sheet as one HTML page."""
    return work_sheet(sheet).encode("utf-8")


def _facts(
    planned: Planned,
    pieces: Sequence[PieceLine],
    reports: Sequence[SeamReport],
    sewing: SewingPlan,
    profile: Profile | None,
) -> tuple[tuple[str, str], ...]:
    count = sum(line.count + line.mirrored for line in pieces)
    run = sum(report.first_length for report in reports) / 1000
    box = [bounds(edge.chain) for panel in planned.traced for edge in panel.edges]
    width = max(b[2] for b in box) - min(b[0] for b in box)
    height = max(b[3] for b in box) - min(b[1] for b in box)
    stitched = sewing_length(planned.plans, planned.parts, planned.seams)
    stitched += sum(split.stitching for split in planned.splits.made)
    facts = [
        ("Drawing", f"{planned.drawing.file}, {format_size(width, height)}"),
        ("Pieces", f"{count} from {len(pieces)} patterns"),
        ("Seams", f"{len(reports)}, {run:.1f} m in all, each walked on the stitch line"),
        ("Stitching", f"{stitched / 1000:.1f} m of seams and parts, each row of a part counted"),
        ("Steps of sewing", f"{len(sewing.steps)}"),
    ]
    if profile is not None:
        facts.append(("Machine", profile.name))
    odd = [report.seam.letter for report in reports if report.verdict.value == "out"]
    if odd:
        facts.append(("LOOK", f"seam {', '.join(odd)} does not fit: run cutpath check first"))
    return tuple(facts)


def _table_time(outcome: Cut | None) -> tuple[tuple[str, str], ...]:
    if outcome is None:
        return ()
    minutes = sum(file.written.clock.total for file in outcome.files) / 60
    return (("Table time", f"about {minutes:.0f} min in {len(outcome.files)} files"),)


def _made_up(splits: Splits) -> dict[str, str]:
    """Say, by panel, how one that was split is made up of its parts."""
    return {
        split.panel: "; ".join(f"seam {s.letter}, {s.first} to {s.second}" for s in split.seams)
        for split in splits.made
    }


def _cautions(planned: Planned, profile: Profile | None) -> tuple[str, ...]:
    is_hot = any(piece.is_sealed for part in planned.parts for piece in part.webbing)
    is_hot = is_hot or (profile is not None and profile.has_tool_for(Role.HOT))
    own = profile.cautions if profile is not None else ()
    return (*((_HEAT,) if is_hot else ()), _PVC, *_ALWAYS, *own)


def _plan_words(planned: Planned) -> tuple[tuple[str, float, float], ...]:
    words = panel_words(planned)
    return tuple((word.text, float(word.at[0]), float(word.at[1])) for word in words)
