"""The verbs of ``cutpath queue`` that send, go on after a mishap, and tell what was."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cutpath.cli.queue import queue
from cutpath.cli.queue_folder import queue_option

if TYPE_CHECKING:
    from cutpath.run_model import Run

__all__ = ["queue"]  # with these verbs


@queue.command(short_help="Send a machine's jobs, one after the other.")
@click.argument("lane", metavar="MACHINE")
@click.option("--stay", is_flag=True, help="Wait for more jobs when none is left.")
@click.option("--yes", is_flag=True, help="The bed is ready, for every job.")
@queue_option
def run(lane: str, folder: Path, *, stay: bool, yes: bool) -> int:
    """Send the jobs of MACHINE in their order; there is one sender a machine.

    It asks before each job whether the bed is ready. Ctrl-C pauses where the tool is next up, once
    more stops with the tool up. It is not an emergency stop: use the machine's own.
    """
    from cutpath.cli.queue_run import send_lane

    return send_lane(folder, lane, stay=stay, yes=yes)


@queue.command(short_help="Let a machine's sender go on; its bed is ready.")
@click.argument("lane", metavar="MACHINE")
@queue_option
def go(lane: str, folder: Path) -> None:
    """Let the sender of MACHINE go on: the bed is ready, or the pause is over."""
    _wish(folder, lane, "go on")


@queue.command()
@click.argument("lane", metavar="MACHINE")
@queue_option
def pause(lane: str, folder: Path) -> None:
    """Let the sender of MACHINE pause where the tool is next up."""
    _wish(folder, lane, "pause")


@queue.command()
@click.argument("lane", metavar="MACHINE")
@queue_option
def stop(lane: str, folder: Path) -> None:
    """Let the sender of MACHINE stop its job with the tool up; it can be resumed."""
    _wish(folder, lane, "stop")


def _wish(folder: Path, lane: str, what: str) -> None:
    from cutpath.run_model import Wish
    from cutpath.send.queue.queue import Queue

    with Queue(folder) as opened:
        opened.wish(lane, Wish(what))


@queue.command(short_help="Go on with an interrupted job.")
@click.argument("job", type=click.IntRange(1), metavar="JOB")
@click.option(
    "--from",
    "stroke",
    type=click.IntRange(1),
    metavar="STROKE",
    help="From this stroke on, after you looked; cutpath queue show JOB --strokes lists them.",
)
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write the file into this folder, too."
)
@queue_option
def resume(job: int, stroke: int | None, out: Path | None, folder: Path) -> None:
    """Make a new, proved file of what is left of JOB, and put it first in its machine's order.

    It begins with a check mark over a point that was made before, so that you see whether the cloth
    has stayed where it was; the sender then waits for you.
    """
    from cutpath.cli.queue_report import job_line
    from cutpath.resuming import resume_job
    from cutpath.send.queue.queue import Queue

    _require_free(out)
    with Queue(folder) as opened:
        resumed = resume_job(opened, job, None if stroke is None else stroke - 1)
        click.echo(f"First in line: {job_line(resumed.job)}")
        made = opened.run(resumed.job.number)
    if resumed.look:
        click.echo(f"  look: {resumed.look}; the sender waits until you say go on")
    else:
        click.echo("  nothing was made before: there is no mark to check the cloth by")
    _keep(made, out)


@queue.command(short_help="Cut one piece of a job again.")
@click.argument("job", type=click.IntRange(1), metavar="JOB")
@click.argument("piece")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write the file into this folder, too."
)
@queue_option
def recut(job: int, piece: str, out: Path | None, folder: Path) -> None:
    """Make a new, proved file of one PIECE of JOB alone, and put it first in its machine's order.

    It is cut where it lay: lay fresh cloth there.
    """
    from cutpath.cli.queue_report import job_line
    from cutpath.resuming import cut_piece_again
    from cutpath.send.queue.queue import Queue

    _require_free(out)
    with Queue(folder) as opened:
        opened.recover()
        added = cut_piece_again(opened, job, piece)
        made = opened.run(added.number)
    click.echo(f"First in line: {job_line(added)}")
    _keep(made, out)


def _require_free(out: Path | None) -> None:
    from cutpath.proof_beside import require_no_proof

    if out is not None:
        require_no_proof(out)


def _keep(made: Run, out: Path | None) -> None:
    from cutpath.delivery import PROOF, deliver
    from cutpath.proof_beside import proof_beside
    from cutpath.settings.run_file import run_file_name, run_text

    if out is not None:
        files = {made.name: made.data, run_file_name(made.name): run_text(made)}
        deliver(out, {**files, PROOF: proof_beside(made)})
        click.echo(f"  {out / made.name}")


@queue.command(short_help="Tell what happened: as text, CSV or JSON.")
@click.argument("job", type=click.IntRange(1), metavar="[JOB]", required=False)
@click.option("--csv", "as_csv", is_flag=True, help="A table, one row for each sending.")
@click.option("--json", "as_json", is_flag=True, help="Everything, for programs.")
@queue_option
def journal(job: int | None, folder: Path, *, as_csv: bool, as_json: bool) -> None:
    """Tell what happened to JOB, or to all jobs: when, on which profile, how long, which faults."""
    from cutpath.cli.queue_report import entry_line
    from cutpath.send.queue import journal as told
    from cutpath.send.queue.queue import Queue

    if as_csv and as_json:
        raise click.UsageError("--csv and --json are two ways to tell it. Give one of them.")
    with Queue(folder) as opened:
        opened.recover()
        entries = opened.journal(job)
    if as_csv:
        sys.stdout.write(told.as_csv(entries).replace("\r\n", "\n"))
    elif as_json:
        click.echo(told.as_json(entries), nl=False)
    else:
        for entry in entries:
            click.echo(entry_line(entry))


@queue.command(short_help="Compare real times with the profile's clock.")
@queue_option
def times(folder: Path) -> None:
    """Compare how long jobs took with what the profile told, and suggest what to change in it."""
    from cutpath.send.queue.queue import Queue
    from cutpath.send.queue.times import times_told

    with Queue(folder) as opened:
        told = times_told(opened.journal())
    for each in told:
        click.echo(each.words)
    if not told:
        click.echo("No job was finished yet.")
