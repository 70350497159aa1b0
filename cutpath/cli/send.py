"""``cutpath send``: a machine file, or a job cut now, to the machine."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from cutpath.cli.send_watch import TerminalWatch
    from cutpath.run_model import Run, Wish
    from cutpath.send.watching import Ended
    from cutpath.settings.profile import Profile

_EXAMPLES = """\b
Examples:
  cutpath send bow-shelter-cut/bow-shelter.plt --on my-table.toml
  cutpath send job.toml --on my-table.toml --cloth "2.4 m x 1.5 m"
"""
_JOBS = {".toml", ".dxf", ".svg"}


@click.command(epilog=_EXAMPLES, short_help="Send a machine file, or a job, to the machine.")
@click.argument("source", type=click.Path(path_type=Path), metavar="FILE|JOB")
@click.option(
    "--on",
    "machine",
    required=True,
    metavar="PROFILE",
    help="The machine: a profile's name, or its file; its [link] says how it is reached.",
)
@click.option(
    "--cloth",
    metavar="SIZE",
    help='Cloth on the table, from its near left corner: "2.4 m x 1.5 m".',
)
@click.option("--yes", is_flag=True, help="Ask nothing: cautions are known, the cloth is there.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the files of a job that is cut now."
)
def send(source: Path, machine: str, cloth: str | None, out: Path | None, *, yes: bool) -> int:
    """Send FILE (written by cutpath cut) or JOB (cut now) to the machine that PROFILE describes.

    Only a file that passed its proof on that profile is sent. Ctrl-C pauses where the tool is next
    up; once more ends the job with the tool up. This is no emergency stop: that is a button on the
    machine.
    """
    from cutpath.send.opening import require_link
    from cutpath.send.readiness import parse_cloth
    from cutpath.settings.profile import load_profile

    profile = load_profile(machine)
    require_link(profile.link)
    size = parse_cloth(cloth) if cloth is not None else None
    files = _cut_now(source, machine, out) if source.suffix.lower() in _JOBS else [source]
    if not files:
        return 1
    if yes and len(files) > 1:
        raise click.UsageError(
            f"this job has {len(files)} loads, and each needs its cloth laid: leave out --yes, or "
            f"send one file at a time ({', '.join(str(file) for file in files)})"
        )
    for number, file in enumerate(files, start=1):
        if len(files) > 1:
            click.echo(f"Load {number} of {len(files)}:")
        code = _send_one(file, profile, size, yes=yes)
        if code:
            return code
    return 0


def _cut_now(source: Path, machine: str, out: Path | None) -> list[Path]:
    """Cut the job as ``cutpath cut`` does, and give its machine files; none without proof."""
    from cutpath.cli.cut import cut_to_folder
    from cutpath.cli.cut_report import report
    from cutpath.planning import Request

    outcome, folder = cut_to_folder(Request(source, machine), out)
    report(outcome, folder, as_json=False)
    return [folder / file.name for file in outcome.files] if outcome.passed else []


def _send_one(file: Path, profile: Profile, size: tuple[float, float] | None, *, yes: bool) -> int:
    from cutpath.send.readiness import ready_run, require_cloth
    from cutpath.settings.run_file import read_run

    run = ready_run(read_run(file), profile, file.parent)
    if size is not None:
        require_cloth(run, size)
    _ask_first(run, has_size=size is not None, yes=yes)
    return _send_asking(run)


def _ask_first(run: Run, *, has_size: bool, yes: bool) -> None:
    from cutpath.send.readiness import reach_of
    from cutpath.units import format_time

    pieces = len(run.pieces)
    click.echo(
        f"{run.name}: {pieces} {'piece' if pieces == 1 else 'pieces'} of {run.cloth}, "
        f"{len(run.strokes)} strokes, about {format_time(run.seconds)} on {run.profile.name}"
    )
    if run.note:
        click.echo(f"  {run.note}")
    reach = reach_of(run)
    if reach is not None:
        click.echo(
            f"  The strokes lie from {reach.left:.0f} to {reach.right:.0f} mm to the right, and "
            f"{reach.near:.0f} to {reach.far:.0f} mm away from the bed's near left corner."
        )
    for caution in run.profile.cautions:
        click.echo(f"  caution: {caution}", err=True)
    if yes:
        return
    if not sys.stdin.isatty():
        raise click.UsageError(
            "nobody can be asked here: say --yes where the cautions are known and the cloth lies"
        )
    if not has_size:
        click.confirm("Does the cloth lie there, and is it that large?", abort=True)
    click.confirm("Is everybody clear of the machine, and the cautions known?", abort=True)


def _send_asking(run: Run) -> int:
    """Send, and on a pause ask what to do."""
    from cutpath.cli.send_watch import TerminalWatch, interrupts
    from cutpath.run_model import Wish
    from cutpath.send.flows import flow_of
    from cutpath.send.opening import open_channel
    from cutpath.send.sending import send_bytes
    from cutpath.send.watching import End

    link = run.profile.link
    flow = flow_of(link)
    watch, channel = TerminalWatch(run, answers=flow.answers), open_channel(link, run.name)
    try:
        with interrupts(watch):
            ended = send_bytes(run, channel, flow, watch)
        while ended.how is End.PAUSED:
            watch.rest()
            if watch.wanted is not Wish.STOP:
                watch.wanted = _after_pause(run, ended)
            with interrupts(watch):
                ended = send_bytes(run, channel, flow, watch, ended.sent)
            if watch.wanted is Wish.STOP:
                break
    except KeyboardInterrupt:
        click.echo(
            "\nLet go of the machine: it may work off what it holds, its tool may be down.",
            err=True,
        )
        return 130
    finally:
        watch.rest()
        channel.close()
    return _tell_end(run, watch, ended)


def _after_pause(run: Run, ended: Ended) -> Wish:
    from cutpath.run_model import Wish

    click.echo(f"Paused: {ended.words(run)}.", err=True)
    if not sys.stdin.isatty():
        return Wish.STOP
    try:
        go_on = click.confirm("Go on?", default=True)
    except click.Abort:
        go_on = False
    return Wish.GO_ON if go_on else Wish.STOP


def _tell_end(run: Run, watch: TerminalWatch, ended: Ended) -> int:
    from cutpath.errors import MachineError, Source
    from cutpath.send.watching import End
    from cutpath.settings.profile import Way
    from cutpath.units import format_time

    if ended.how is End.FAULTED and ended.fault is not None:
        fault = ended.fault
        hand = "" if ended.tool_up else " The tool may be down: lift it by hand."
        raise MachineError(
            f"{fault.words}{_while(run, ended)}",
            Source(file=run.name),
            f"{fault.remedy}{hand}\nSo far: {ended.words(run)}.",
        )
    if ended.how is not End.FINISHED:
        up = "the tool is up" if ended.tool_up else "the tool may be down: lift it by hand"
        click.echo(f"Stopped, {up}. {ended.words(run)}.", err=True)
        return 130
    left = run.seconds - watch.seconds
    link = run.profile.link
    if link.way is Way.FOLDER:
        click.echo(
            f"{run.name} lies whole in {link.folder}. From there the machine takes it, and works "
            f"for about {format_time(run.seconds)}."
        )
    elif ended.is_done:
        click.echo(f"Done: all {len(run.strokes)} strokes, as the machine says itself.")
    else:
        click.echo(
            f"Sent: all {len(run.strokes)} strokes. This machine does not tell when it is done; "
            f"by its clock it works for about {format_time(max(left, 0.0))} more."
        )
    return 0


def _while(run: Run, ended: Ended) -> str:
    """Name what was being cut."""
    fault, numbers = ended.fault, ended.in_doubt(run)
    if fault is not None and fault.first is not None and fault.last:
        first, last = run.stroke_at(fault.first), run.stroke_at(fault.last - 1)
        if first == last:  # the machine named the very line
            numbers = range(first, first + 1)
    if not numbers or not 0 <= numbers[0] < len(run.strokes):
        return ""
    begin, end = run.strokes[numbers[0]], run.strokes[min(numbers[-1], len(run.strokes) - 1)]
    if begin is end:
        return f", at the {begin.words} (stroke {numbers[0] + 1})"
    return f", between the {begin.words} (stroke {numbers[0] + 1}) and the {end.words}"
