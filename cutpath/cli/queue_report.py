"""What ``cutpath queue`` tells of lanes, jobs and the journal."""

from __future__ import annotations

import json
from dataclasses import asdict

import click

from cutpath.send.queue.queue import Queue
from cutpath.send.queue.values import Doing, Entry, Event, Job, Kind, Lane, State
from cutpath.units import format_time

_HOW = {
    Doing.NO_SENDER: "no sender; start one with: cutpath queue run {lane}",
    Doing.IDLE: "the sender waits",
    Doing.ASKS: "the sender asks whether the bed is ready: cutpath queue go {lane}",
    Doing.SENDING: "sends",
    Doing.PAUSED: "paused: cutpath queue go {lane}, or stop",
}
_KINDS = {Kind.REST: "rest of", Kind.RECUT: "again from", Kind.CHECK: "check mark for"}


def job_line(job: Job) -> str:
    """Give a job on one line."""
    words = [f"{job.number:>4}  {job.state.value:<11}  {job.file}"]
    if job.kind is not Kind.WHOLE:
        words.append(f"{_KINDS[job.kind]} job {job.origin}")
    words.append(f"{job.pieces} {'piece' if job.pieces == 1 else 'pieces'} of {job.cloth}")
    words.append(format_time(job.seconds))
    if job.copies > 1:
        words.append(f"copy {min(job.made + 1, job.copies)} of {job.copies}")
    if job.priority:
        words.append(f"priority {job.priority}")
    return ", ".join(words)


def tell_queue(queue: Queue, lane: str | None, *, with_done: bool, as_json: bool) -> None:
    """Print machines and their jobs."""
    lanes = queue.lanes() if lane is None else (queue.lane(lane),)
    jobs = queue.jobs(lane)
    shown = [job for job in jobs if with_done or job.state is not State.DONE]
    if as_json:
        facts = {
            "machines": [{**asdict(each), "progress": _progress(queue, each)} for each in lanes],
            "jobs": [asdict(job) for job in shown],
        }
        click.echo(json.dumps(facts, indent=2, ensure_ascii=False))
        return
    for each in lanes:
        click.echo(f"{each.name} ({each.machine}): {_doing(queue, each)}")
        mine = [job for job in shown if job.lane == each.name]
        for job in mine:
            click.echo(f"  {job_line(job)}")
            if job.note:
                click.echo(f"        {job.note}")
            if job.state is State.INTERRUPTED:
                _tell_doubt(queue, job, "        ")
        if not mine:
            click.echo("  nothing to cut")
    if not lanes:
        click.echo("The queue is empty. Add a file: cutpath queue add FILE --on PROFILE")


def _progress(queue: Queue, lane: Lane) -> dict[str, object] | None:
    found = queue.progress(lane.name)
    return None if found is None else asdict(found)


def _doing(queue: Queue, lane: Lane) -> str:
    told = _HOW[lane.doing].format(lane=lane.name)
    found = queue.progress(lane.name)
    if found is not None:
        told += f": {found.share:.0%}, {found.piece}, {format_time(found.seconds_left)} left"
    return f"{told}; {lane.words}" if lane.words else told


def _tell_doubt(queue: Queue, job: Job, indent: str) -> None:
    doubt = queue.doubt(job.number)
    if doubt is None:
        return
    run = queue.run(job.number)
    up = "" if doubt.tool_up else " The tool may be down: lift it before you go on."
    click.echo(f"{indent}{doubt.words.rstrip('.')}.{up}")
    click.echo(f"{indent}{doubt.told(run)}")
    if doubt.done(run):
        click.echo(f"{indent}pieces done: {', '.join(doubt.done(run))}")
    if doubt.doubtful(run):
        click.echo(f"{indent}pieces in doubt: {', '.join(doubt.doubtful(run))}")
    if doubt.first == len(run.strokes):
        click.echo(f"{indent}nothing is left: look, then: cutpath queue done {job.number}")
        return
    click.echo(
        f"{indent}look at the bed, then: cutpath queue resume {job.number} [--from STROKE], "
        f"done {job.number}, again {job.number}, or remove {job.number}"
    )


def tell_job(queue: Queue, number: int, *, with_strokes: bool) -> None:
    """Print all about one job."""
    job = queue.job(number)
    run = queue.run(number)
    click.echo(job_line(job))
    click.echo(f"  of {job.job}, written for {run.profile.name}; SHA-256 {run.sha256}")
    if job.note:
        click.echo(f"  {job.note}")
    click.echo(f"  pieces: {', '.join(run.pieces)}")
    _tell_doubt(queue, job, "  ")
    doubt = queue.doubt(number)
    for at, stroke in enumerate(run.strokes if with_strokes else ()):
        how = ""
        if doubt is not None:
            how = "done" if at < doubt.first else "in doubt" if at < doubt.last else "not begun"
        words = f"{at + 1:>5}  {how:<9}  {stroke.tool}: {stroke.words}"
        click.echo(f"{words}, until {format_time(stroke.seconds)}")
    for entry in queue.journal(number):
        click.echo(f"  {entry_line(entry)}")


def entry_line(entry: Entry) -> str:
    """Give one entry of the journal on one line."""
    facts = entry.facts
    told = {
        Event.BEGUN: lambda: (
            f"copy {facts['copy']}, about {format_time(float(str(facts['estimated_s'])))}"
        ),
        Event.FINISHED: lambda: f"sent in {format_time(float(str(facts['sent_s'])))}",
        Event.INTERRUPTED: lambda: str(facts.get("fault", "")),
        Event.CONTINUED: lambda: f"as job {facts['by']}",
        Event.NOTE: lambda: str(facts["words"]),
    }
    words = told[entry.event]() if entry.event in told else ""
    head = f"{entry.at}  {entry.lane}  job {entry.job}  {entry.event.value}"
    return f"{head}: {words}" if words else head
