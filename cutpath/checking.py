"""Does the job fit together? The part of the pipeline that walks its seams."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from cutpath.delivery import picture_name
from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain
from cutpath.geometry.splitting import sub_chain
from cutpath.model import EdgeName, Panel
from cutpath.planning import Planned, Progress, Request, plan, quiet
from cutpath.revision import Revisions
from cutpath.seam_report import SeamReport, Verdict, WalkFinding
from cutpath.sheet.fair_picture import draw_fair
from cutpath.sheet.seam_picture import draw_seam
from cutpath.sheet.seam_sheet import draw_seam_sheet
from cutpath.walk.explaining import explain
from cutpath.walk.walking import walk


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """All seams of a job, walked, and what is wrong with them, what hurts most first."""

    planned: Planned
    reports: tuple[SeamReport, ...]
    findings: tuple[WalkFinding, ...]

    @property
    def fits(self) -> bool:
        """Whether no seam is out of its tolerance."""
        return all(report.verdict is not Verdict.OUT for report in self.reports)


def check(request: Request, progress: Progress = quiet) -> Checked:
    """Walk every seam of a job on the net line.

    One without seams has nothing to walk, and fits. Raises InputError for one that is not usable.
    """
    if request.source.suffix.lower() != ".toml":
        raise InputError(
            "seams are named in a job file",
            Source(file=str(request.source)),
            "Write a job.toml that names this drawing and its seams, and check that.",
        )
    planned = plan(request, progress)
    progress("walking seams", 0, len(planned.seams))
    reports = walked(planned)
    return Checked(planned, reports, explain(reports))


def walked(planned: Planned) -> tuple[SeamReport, ...]:
    """Walk every seam: those between traced panels by the marks that were traced, and no others.

    What a part marks on a panel is for the part's own seam; its partner has no such mark, nor has
    another part along the same edge.
    """
    traced = {panel.name: panel for panel in planned.traced}
    own = [s for s in planned.seams if {s.first.panel, s.second.panel} <= traced.keys()]
    reports = walk(traced, own)
    for part in planned.parts:
        panels = {**traced, **{each.panel.name: each.panel for each in part.plans}}
        for each in part.on_panels:
            host = panels[each.panel]
            panels[each.panel] = replace(host, marks=(*host.marks, *each.marks))
        reports += walk(panels, part.seams)
    return reports


def facts(checked: Checked) -> dict[str, Any]:
    """Give everything found as plain values, mm and degrees, rounded."""
    return {
        "fits": checked.fits,
        "job": checked.planned.job.name,
        "seams": [_seam_facts(report) for report in checked.reports],
        "findings": [
            {
                "seam": finding.seam,
                "verdict": finding.verdict.value,
                "cause": finding.cause.value,
                "place": finding.place,
                "begin_mm": round(finding.begin, 3),
                "end_mm": round(finding.end, 3),
                "message": finding.message,
                "recheck": finding.recheck,
                "suspects": [str(edge) for edge in finding.suspects],
            }
            for finding in checked.findings
        ],
        **_revision_facts(checked.planned.revisions),
    }


def pictures(checked: Checked, progress: Progress = quiet) -> dict[str, bytes]:
    """Draw the sheet of the job, each seam and each edge laid fair: file names and contents.

    seams.json holds the facts, and the names of all pictures.
    """
    panels, job = checked.planned.panels, checked.planned.job.name
    seams = [report.seam for report in checked.reports]
    sheet = draw_seam_sheet(list(panels.values()), seams, checked.reports, job)
    files = {"seams.svg": sheet.encode("utf-8")}
    for done, report in enumerate(checked.reports):
        progress("drawing seams", done, len(seams))
        seam = report.seam
        first = _chain(panels, seam.first)
        ends = (sub_chain(first, *seam.span) if seam.span else first, _chain(panels, seam.second))
        own = [finding for finding in checked.findings if finding.seam == seam.letter]
        picture = draw_seam(report, ends, own, job)
        files[picture_name(seam.letter, files)] = picture.encode("utf-8")
    for faired in checked.planned.revisions.faired:
        name = picture_name(f"{faired.edge.panel} {faired.edge.edge}", files, "fair")
        files[name] = draw_fair(faired, job).encode("utf-8")
    text = json.dumps({**facts(checked), "pictures": list(files)}, indent=2, ensure_ascii=False)
    files["seams.json"] = (text + "\n").encode("utf-8")
    return files


def _chain(panels: Mapping[str, Panel], name: EdgeName) -> Chain:
    return panels[name.panel].edge(name.edge).chain


def _revision_facts(revisions: Revisions) -> dict[str, Any]:
    return {
        "fair": [
            {
                "edge": str(faired.edge),
                "within_mm": faired.within,
                "largest_move_mm": round(faired.largest, 3),
                "at_mm": round(faired.at, 3),
                "typical_move_mm": round(faired.typical, 3),
                "inflections_before": faired.inflections_before,
                "inflections": faired.inflections,
                "smallest_radius_mm": _finite(faired.smallest_radius),
                "largest_mark_shift_mm": round(faired.mark_shift, 3),
            }
            for faired in revisions.faired
        ],
        "pairs": [
            {
                "first": pair.first,
                "second": pair.second,
                "use": pair.use.value,
                "said_in_job": pair.is_said,
                "largest_difference_mm": round(pair.largest, 3),
                "edge": str(pair.edge),
                "at_mm": round(pair.at, 3),
                "mark": pair.mark,
                "mark_difference_mm": round(pair.mark_difference, 3),
            }
            for pair in revisions.pairs
        ],
        "trued": [
            {
                "seam": trued.seam,
                "trued": not trued.why_not,
                "why_not": trued.why_not,
                "shared_mm": round(trued.shared, 3),
                "largest_mark_move_mm": round(trued.mark_move, 3),
                "largest_corner_move_mm": round(trued.corner_move, 3),
            }
            for trued in revisions.trued
        ],
    }


def _finite(value: float) -> float | None:
    return round(value, 3) if math.isfinite(value) else None


def _seam_facts(report: SeamReport) -> dict[str, Any]:
    return {
        "seam": report.seam.letter,
        "first": str(report.seam.first),
        "second": str(report.seam.second),
        "verdict": report.verdict.value,
        "first_length_mm": round(report.first_length, 3),
        "second_length_mm": round(report.second_length, 3),
        "difference_mm": round(report.difference, 3),
        "ease_mm": round(report.seam.ease, 3),
        "length_limit_mm": round(report.length_limit, 3),
        "marks": [
            {
                "name": mark.name,
                "first_mm": round(mark.first, 3),
                "second_mm": round(mark.second, 3),
                "difference_mm": round(mark.difference, 3),
            }
            for mark in report.marks
        ],
        "unmatched": {
            str(report.seam.first): [mark.name for mark in report.first_lone],
            str(report.seam.second): [mark.name for mark in report.second_lone],
        },
        "kinks_deg": [round(math.degrees(end.kink), 2) for end in report.ends],
        "steps_mm": [round(end.step, 3) for end in report.ends],
        "shape": {
            "largest_gap_mm": round(report.shape.gap, 3),
            "at_mm": round(report.shape.station, 3),
        },
    }
