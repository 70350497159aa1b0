"""What ``cutpath start`` says: the panels, the seams guessed, the edges left, and what to do."""

from __future__ import annotations

import json
from pathlib import Path

import click

from cutpath.cli.cut_report import told
from cutpath.planning import size_words
from cutpath.start_words import guess_words
from cutpath.starting import Started, facts


def report(started: Started, place: Path, *, as_json: bool) -> None:
    """Print what was found; findings on the error stream."""
    if as_json:
        both = {"job": str(place), **facts(started)}
        click.echo(json.dumps(both, indent=2, ensure_ascii=False))
        return
    drawing = started.drawing
    click.echo(f"{drawing.file}: {size_words(drawing)}, unit {drawing.unit}")
    for finding in started.findings:
        click.echo(f"  note: {told(finding)}", err=True)
    _tell_panels(started)
    _tell_seams(started)
    _tell_free(started)
    _tell_next(started, place)


def _tell_panels(started: Started) -> None:
    click.echo("Panels:")
    width = max(len(name) for name in started.names.panels.values())
    for panel in started.panels:
        edges = ", ".join(
            started.names.edges[name] for name in started.names.edges if name.panel == panel.name
        )
        click.echo(f"  {started.names.panels[panel.name]:<{width}}  edges {edges}")


def _tell_seams(started: Started) -> None:
    names = started.names
    for title, guesses in (
        ("Seams:", [guess for guess in started.guesses if guess.is_likely]),
        ("Questions, not yet seams in the job:", [g for g in started.guesses if not g.is_likely]),
    ):
        if guesses:
            click.echo(title)
        for guess in guesses:
            click.echo(f"  {names.path(guess.first)} – {names.path(guess.second)}")
            for words in guess_words(guess, names):
                click.echo(f"    {words}")
    if not started.seams:
        click.echo("No seam was found. Write each as [[seam]] in the job before you check it.")


def _tell_free(started: Started) -> None:
    if started.free:
        click.echo("Edges left:")
    for edge in started.free:
        click.echo(f"  {started.names.path(edge.name)}, {edge.length:.1f} mm: {edge.question}")


def _tell_next(started: Started, place: Path) -> None:
    click.echo(f"Wrote {place}. Every edge gets the plain allowance until it says otherwise.")
    if started.seams:
        click.echo(f"Next: read it, then cutpath check {place}")
    else:
        click.echo(f"Next: read it, then cutpath cut {place} --on PROFILE")
