"""``cutpath look``: the page to look at."""

from __future__ import annotations

from pathlib import Path

import click

from cutpath.cli.lengths import LengthOption


@click.command(short_help="Write a page that shows panels, files and the cut in time.")
@click.argument("source", type=click.Path(path_type=Path), metavar="JOB|MACHINE-FILE")
@click.option(
    "--on",
    "machine",
    metavar="PROFILE",
    default="",
    help="Show a job's files on this machine too, or take a machine file as this machine does.",
)
@click.option(
    "--allowance", type=LengthOption(), metavar="LENGTH", help="For a drawing without a job file."
)
@click.option("--units", metavar="UNIT", help="What one unit of the drawing is: mm, in, …")
@click.option(
    "--out", type=click.Path(path_type=Path), help="The page; otherwise NAME-look.html, here."
)
@click.option("--open", "opens", is_flag=True, help="Open it in the browser.")
def look(
    source: Path, machine: str, allowance: float | None, units: str | None, out: Path | None,
    *, opens: bool,
) -> int:  # fmt: skip
    """Write one HTML page that shows JOB (a job.toml), or any HP-GL or RS274 MACHINE-FILE.

    It needs no network: panels and seams with what check found, and with --on each file's
    toolpaths, played in machine time, with the worst place of the proof one click away.
    """
    import webbrowser

    from cutpath.cli.progress import showing
    from cutpath.delivery import deliver, slug
    from cutpath.looking import look_at
    from cutpath.planning import Request

    with showing() as progress:
        page = look_at(Request(source, machine, allowance, units), progress)
    place = out or Path(f"{slug(source.stem)}-look.html")
    deliver(place.parent, {place.name: page.encode("utf-8")}, sources=[source])
    click.echo(f"{place}: open it in any browser")
    if opens:
        webbrowser.open(place.resolve().as_uri())
    return 0
