"""What ``cutpath batch`` says when it is done: a line a job, then what went wrong."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import click

from cutpath.batching.record import Result
from cutpath.batching.running import Batch
from cutpath.cli.cut_report import LOCAL_RULES
from cutpath.units import format_time

_WIDEST_NAME = 44


def report(batch: Batch, out: Path, cautions: Sequence[str], *, as_json: bool) -> None:
    """Print the table; failures, what was left out and cautions on the error stream."""
    if as_json:
        click.echo(json.dumps(batch.facts, indent=2, ensure_ascii=False))
        return
    width = min(_WIDEST_NAME, max(len(result.name) for result in batch.results))
    for result in batch.results:
        click.echo(_line(result, width))
    for result in batch.results:
        if result.failure is not None:
            click.echo(f"{result.name}: {result.failure}", err=True)
            for line in result.failure.remedy.splitlines():
                click.echo(f"  {line}", err=True)
    click.echo(_sum(batch, out))
    if batch.left:
        count = len(batch.left)
        words = "1 drawing belongs" if count == 1 else f"{count} drawings belong"
        click.echo(f"  note: {words} to no job; --allowance cuts drawings alone", err=True)
    for folder in batch.gone:
        click.echo(f"  note: {out / folder} is of a job that is no longer there", err=True)
    for caution in cautions:
        click.echo(f"  caution: {caution}", err=True)
    if cautions:
        click.echo(f"  caution: {LOCAL_RULES}", err=True)


def _line(result: Result, width: int) -> str:
    if result.failure is not None:
        return f"{'FAILED':<9} {result.name}"
    facts = result.facts
    state = "as it was" if result.is_kept else "prepared"
    name = result.name.ljust(width)
    pieces, files = facts["pieces"], len(facts["machine_files"])
    return (
        f"{state:<9} {name} {pieces:>4} {'piece ' if pieces == 1 else 'pieces'} {files:>3} "
        f"{'file ' if files == 1 else 'files'} {format_time(facts['time_s']):>12}  "
        f"{facts['deviation_mm']} mm off at most"
    )


def _sum(batch: Batch, out: Path) -> str:
    kept = sum(result.is_kept for result in batch.results)
    failed = sum(result.failure is not None for result in batch.results)
    fresh = len(batch.results) - kept - failed
    parts = [f"{fresh} prepared"]
    parts += [f"{kept} as they were"] if kept else []
    parts += [f"{failed} FAILED"] if failed else []
    on_table = format_time(batch.facts["time_s"])
    return f"{', '.join(parts)}; about {on_table} on the machine. See {out / 'batch.json'}"
