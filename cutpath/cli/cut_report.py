"""What ``cutpath cut`` says when it is done."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from cutpath.cut_file import CutFile
from cutpath.lay_report import lay_words, remnant_words
from cutpath.model import Finding
from cutpath.pipeline import Cut
from cutpath.planning import size_words
from cutpath.purchasing import purchase_lines
from cutpath.units import format_time

LOCAL_RULES = "local rules, the machine's manual and trained practice decide."


def report(outcome: Cut, folder: Path, *, as_json: bool) -> None:
    """Print what was made and how far off it is; findings and cautions on the error stream."""
    if as_json:
        click.echo(json.dumps(_facts(outcome, folder), indent=2, ensure_ascii=False))
        return
    drawing = outcome.drawing
    click.echo(f"{drawing.file}: {size_words(drawing)}, unit {drawing.unit}")
    for finding in outcome.findings:
        click.echo(f"  note: {told(finding)}", err=True)
    for laid, picture in zip(outcome.laid.lays, outcome.lay_pictures, strict=True):
        click.echo(f"{laid.cloth.name or laid.lay.cloth}: {lay_words(laid)}")
        for words in remnant_words(laid):
            click.echo(f"  {words}")
        click.echo(f"  picture {folder / picture}")
    for file in outcome.files:
        _tell_file(file, folder, passed=outcome.passed)
    for line in purchase_lines(outcome.bought):
        click.echo(line)
    if outcome.passed:
        click.echo(f"Proof passed: {_deviation(outcome.proof)}. See {folder / 'proof.json'}")
    else:
        click.echo(f"Proof NOT passed: {_deviation(outcome.proof)}. No machine file was written.")
        _tell_failures(outcome)
    for caution in outcome.profile.cautions:
        click.echo(f"  caution: {caution}", err=True)
    if outcome.profile.cautions:
        click.echo(f"  caution: {LOCAL_RULES}", err=True)


def told(finding: Finding) -> str:
    """Give a finding on one line: where, what, and how to mend it."""
    place = str(finding.source)
    words = f"{place}: {finding.message}" if place else finding.message
    return f"{words} ({finding.remedy})" if finding.remedy else words


def _tell_file(file: CutFile, folder: Path, *, passed: bool) -> None:
    pieces = file.load.pieces
    strokes = Counter(path.role.value for path in file.toolpaths)
    work = ", ".join(f"{role} {count}" for role, count in strokes.items())
    where = folder / file.name if passed else "(not written)"
    count = f"{len(pieces)} {'piece' if len(pieces) == 1 else 'pieces'}"
    click.echo(f"{where}: {count} of {file.load.cloth}; strokes: {work}")
    if file.load.note:
        click.echo(f"  {file.load.note}")
    click.echo(f"  about {format_time(file.written.clock.total)} on the machine: {_by_tool(file)}")
    click.echo(f"  {_effort(file.effort)}")
    click.echo(f"  picture {folder / file.picture_name}")
    if file.tip_picture is not None:
        click.echo(f"  tip against line, magnified {folder / file.tip_picture_name}")


def _by_tool(file: CutFile) -> str:
    return ", ".join(f"{name} {format_time(s)}" for name, s in file.written.clock.as_dict().items())


def _effort(facts: Mapping[str, float | None]) -> str:
    """Tell what the order costs, and what no order can beat where that is known."""

    def of(key: str) -> float:
        return facts[key] or 0.0

    travel = f"travel {format_time(of('travel_s'))}"
    if facts["travel_least_s"] is not None:
        travel += f" (no order takes less than {format_time(of('travel_least_s'))})"
    told = [f"tool down {format_time(of('tool_down_s'))}", travel]
    if of("changes_s"):
        told.append(f"changes {format_time(of('changes_s'))}")
    if of("advances_s"):
        told.append(f"cloth moved {format_time(of('advances_s'))}")
    if of("waits_s") > of("waits_least_s"):
        told.append(f"waits to cool {format_time(of('waits_s') - of('waits_least_s'))}")
    return ", ".join(told)


def _deviation(proof: dict[str, object]) -> str:
    off, allowed = proof["deviation_mm"], proof["tolerance_mm"]
    far = "some lines are not cut at all" if off is None else f"largest deviation {off} mm"
    return f"{far}, tolerance {allowed} mm"


def _tell_failures(outcome: Cut) -> None:
    for file in outcome.files:
        for tool, facts in file.written.proof.as_dict()["tools"].items():
            off, allowed = facts["deviation_mm"], facts["tolerance_mm"]
            if off is None or off > allowed:
                click.echo(f"  {file.name}, {tool}: {_far(off)}{_at(facts)}", err=True)
        for check in file.written.proof.checks:
            if not check.holds:
                click.echo(f"  {file.name}, {check.name}: {check.found}", err=True)
    click.echo(
        "  Look at the profile: resolution, chord_tolerance, tolerance and blade_offset decide how "
        "far off it is; start, tool_change, lower, lift and end what else the machine does.",
        err=True,
    )


def _far(off: float | None) -> str:
    return "some of its lines are not done, or others are" if off is None else f"{off} mm off"


def _at(facts: Mapping[str, Any]) -> str:
    place = facts["worst_at"]
    return f" at ({place[0]:.2f}, {place[1]:.2f}) mm, as the machine counts" if place else ""


def _facts(outcome: Cut, folder: Path) -> dict[str, object]:
    return {
        **outcome.proof,
        "folder": str(folder),
        "findings": [
            {"message": f.message, "where": str(f.source), "remedy": f.remedy}
            for f in outcome.findings
        ],
        "cautions": list(outcome.profile.cautions),
    }
