"""What ``cutpath check`` says: a line and a table for each seam, then what to recheck."""

from __future__ import annotations

import click

from cutpath.checking import Checked
from cutpath.revision_words import revision_lines
from cutpath.seam_report import SeamReport
from cutpath.walk.explaining import summary


def report(checked: Checked) -> None:
    """Print the seams, their marks, and the findings with what hurts most first."""
    for seam in checked.reports:
        click.echo(summary(seam))
        _tell_marks(seam)
    for line in revision_lines(checked.planned.revisions):
        click.echo(line)
    click.echo()
    for number, finding in enumerate(checked.findings, start=1):
        click.echo(f"{number}. seam {finding.seam}, {finding.place}: {finding.message}")
        if finding.recheck:
            click.echo(f"   {finding.recheck}")
    count = len(checked.reports)
    if not count:
        click.echo(
            "The job names no seams, so nothing was walked. Add for each: [[seam]] and "
            'join = ["front/top", "top/fore"].'
        )
        return
    seams = f"{count} seam{'s' if count != 1 else ''}"
    click.echo(f"{seams}: all fit." if checked.fits else f"{seams}: NOT all fit.")


def _tell_marks(seam: SeamReport) -> None:
    if seam.marks:
        width = max(len(mark.name) for mark in seam.marks)
        for mark in seam.marks:
            click.echo(
                f"   {mark.name:<{width}} {mark.first:9.1f} {mark.second:9.1f} mm "
                f"{mark.difference:+7.2f}"
            )
    for edge, lone in ((seam.seam.first, seam.first_lone), (seam.seam.second, seam.second_lone)):
        for mark_alone in lone:
            click.echo(
                f"   {mark_alone.name or 'a mark'} at {mark_alone.station:.1f} mm on {edge} only"
            )
    gap = seam.shape
    click.echo(f"   shapes differ by up to {gap.gap:.1f} mm, at {gap.station:.0f} mm")
