"""``cutpath queue``: jobs for your machines, in an order, kept safe."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cutpath.cli.queue_folder import queue_option

if TYPE_CHECKING:
    from cutpath.run_model import Run
    from cutpath.send.queue.queue import Queue

_EXAMPLES = """\b
Examples:
  cutpath queue add bow-shelter-cut/bow-shelter.plt --on my-table.toml
  cutpath queue list
  cutpath queue run my-table
  cutpath queue resume 12
"""
Command = Callable[..., Any]


@click.group(epilog=_EXAMPLES, short_help="Jobs for your machines, in an order, kept safe.")
def queue() -> None:
    """Keep jobs for your machines in an order, send them one by one, and go on after a mishap.

    Nothing is lost when the power goes, the cable comes loose or a program dies: what was cut is
    known, what is in doubt is named, and nothing is sent twice by itself.
    """


def _job_argument(command: Command) -> Command:
    return click.argument("job", type=click.IntRange(1), metavar="JOB")(command)


def _jobs_argument(command: Command) -> Command:
    return click.argument("jobs", type=click.IntRange(1), metavar="JOB…", nargs=-1, required=True)(
        command
    )


def _opened(folder: Path) -> Queue:
    from cutpath.send.queue.queue import Queue

    queue = Queue(folder)
    queue.recover()
    return queue


@queue.command()
@click.argument("files", type=click.Path(path_type=Path), metavar="FILE…", nargs=-1, required=True)
@click.option("--to", "lane", metavar="MACHINE", help="Its name in the queue; else its profile's.")
@click.option("--on", "profile", metavar="PROFILE", help="Its profile, the first time.")
@click.option("--copies", type=click.IntRange(1), default=1, help="How often each is cut.")
@click.option("--priority", type=int, default=0, help="Higher goes first; otherwise 0.")
@click.option("--hold", is_flag=True, help="Keep it back until it is released.")
@queue_option
def add(  # noqa: PLR0913 (one argument an option)
    files: tuple[Path, ...],
    lane: str | None,
    profile: str | None,
    copies: int,
    priority: int,
    folder: Path,
    *,
    hold: bool,
) -> None:
    """Add machine files that cutpath cut wrote. The queue keeps its own copy of each."""
    from cutpath.cli.queue_report import job_line
    from cutpath.send.readiness import ready_run
    from cutpath.settings.run_file import read_run

    runs = [read_run(path) for path in files]
    with _opened(folder) as queue:
        lanes = [_lane_for(queue, run, lane, profile) for run in runs]
        for path, run, name in zip(files, runs, lanes, strict=True):
            ready_run(run, queue.profile(name), path.parent)
        for run, name in zip(runs, lanes, strict=True):
            added = queue.add(run, name, copies, priority, held=hold)
            click.echo(f"Added: {job_line(added)}")


def _lane_for(queue: Queue, run: Run, lane: str | None, profile: str | None) -> str:
    """Give the lane that a file goes to; made where it is new."""
    from cutpath.errors import InputError
    from cutpath.run_making import machine_word
    from cutpath.settings.profile import shipped_profiles

    name = lane or (machine_word(profile) if profile else run.machine)
    known = {each.name: each for each in queue.lanes()}
    if profile is not None:
        asks = known[name].asks if name in known else True
        return queue.add_lane(name, profile, asks=asks).name
    if name in known:
        return name
    if name in shipped_profiles():
        return queue.add_lane(name, name).name
    raise InputError(
        f"the queue does not know the machine '{name}' yet",
        remedy="Say its profile once: --on my-table.toml.",
    )


@queue.command(short_help="Name a machine, or say anew how it is reached.")
@click.argument("name", metavar="MACHINE")
@click.option("--on", "profile", required=True, metavar="PROFILE", help="Its profile.")
@click.option(
    "--ask/--no-ask", default=True, help="Ask before each job whether the bed is ready; or never."
)
@queue_option
def machine(name: str, profile: str, folder: Path, *, ask: bool) -> None:
    """Make MACHINE known to the queue, or change its profile and whether it asks."""
    with _opened(folder) as queue:
        lane = queue.add_lane(name, profile, asks=ask)
    asks = "asks before each job" if lane.asks else "goes from job to job without asking"
    click.echo(f"{lane.name}: {lane.machine}; {asks}")


@queue.command(name="list")
@click.option("--machine", "lane", metavar="MACHINE", help="Only this one.")
@click.option("--done", "with_done", is_flag=True, help="Those that are done, too.")
@click.option("--json", "as_json", is_flag=True, help="Print the facts for programs.")
@queue_option
def list_jobs(lane: str | None, folder: Path, *, with_done: bool, as_json: bool) -> None:
    """List machines and their jobs, in the order in which they go."""
    from cutpath.cli.queue_report import tell_queue

    with _opened(folder) as queue:
        tell_queue(queue, lane, with_done=with_done, as_json=as_json)


@queue.command(short_help="Tell all about one job, stroke by stroke.")
@_job_argument
@click.option("--strokes", is_flag=True, help="List every stroke with its number.")
@queue_option
def show(job: int, folder: Path, *, strokes: bool) -> None:
    """Tell what a job is, what of it is done and what is in doubt, and what it went through."""
    from cutpath.cli.queue_report import tell_job

    with _opened(folder) as queue:
        tell_job(queue, job, with_strokes=strokes)


@queue.command()
@_job_argument
@click.option("--before", type=click.IntRange(1), metavar="JOB", help="Right before this one.")
@click.option("--first", is_flag=True, help="Before all others.")
@click.option("--last", is_flag=True, help="After all others.")
@queue_option
def move(job: int, before: int | None, folder: Path, *, first: bool, last: bool) -> None:
    """Move a job in its machine's order."""
    if (before is not None) + first + last != 1:
        raise click.UsageError("say one of --before JOB, --first and --last")
    with _opened(folder) as queue:
        queue.move(job, before, first=first)


@queue.command()
@_job_argument
@click.option("--copies", type=click.IntRange(1), help="How often it is cut in all.")
@click.option("--priority", type=int, help="Higher goes first.")
@queue_option
def change(job: int, copies: int | None, priority: int | None, folder: Path) -> None:
    """Change how often a job is cut, or how soon."""
    if copies is None and priority is None:
        raise click.UsageError("say --copies, --priority or both")
    with _opened(folder) as queue:
        queue.change(job, copies=copies, priority=priority)


@queue.command()
@_jobs_argument
@queue_option
def hold(jobs: tuple[int, ...], folder: Path) -> None:
    """Keep jobs back."""
    _each(folder, jobs, lambda queue, job: queue.hold(job))


@queue.command()
@_jobs_argument
@queue_option
def release(jobs: tuple[int, ...], folder: Path) -> None:
    """Let held jobs go in their turn."""
    _each(folder, jobs, lambda queue, job: queue.release(job))


@queue.command()
@_jobs_argument
@queue_option
def remove(jobs: tuple[int, ...], folder: Path) -> None:
    """Take jobs out of the queue; the journal keeps what they went through."""
    _each(folder, jobs, lambda queue, job: queue.remove(job))


@queue.command()
@click.option("--machine", "lane", metavar="MACHINE", help="Only of this one.")
@queue_option
def clear(lane: str | None, folder: Path) -> None:
    """Take all jobs that are done out of the queue; the journal keeps what they went through."""
    with _opened(folder) as queue:
        count = queue.clear(lane)
    click.echo(f"{count} {'job' if count == 1 else 'jobs'} taken out.")


@queue.command(name="done")
@_jobs_argument
@queue_option
def take_as_done(jobs: tuple[int, ...], folder: Path) -> None:
    """Count the interrupted copy of a job as cut: you looked, or finished it by hand."""
    _each(folder, jobs, lambda queue, job: queue.take_as_done(job))


@queue.command()
@_jobs_argument
@queue_option
def again(jobs: tuple[int, ...], folder: Path) -> None:
    """Let an interrupted job begin again from its start, on fresh cloth."""
    _each(folder, jobs, lambda queue, job: queue.again(job))


def _each(folder: Path, jobs: tuple[int, ...], act: Callable[[Queue, int], object]) -> None:
    with _opened(folder) as queue:
        for job in jobs:
            act(queue, job)


@queue.command()
@_job_argument
@click.argument("words", nargs=-1, required=True, metavar="WORDS…")
@queue_option
def note(job: int, words: tuple[str, ...], folder: Path) -> None:
    """Write a note on a job into the journal."""
    with _opened(folder) as queue:
        queue.note(job, " ".join(words))
