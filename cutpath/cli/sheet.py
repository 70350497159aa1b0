"""``cutpath sheet``: the work sheet."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(short_help="Write the work sheet of a job.")
@click.argument("job", type=click.Path(path_type=Path), metavar="JOB")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for the files; otherwise NAME-sheet, here.",
)
@click.option(
    "--on", "machine", metavar="PROFILE", default="", help="The machine that will cut it."
)
@click.option("--units", metavar="UNIT", help="What one unit of the drawing is: mm, in, …")
def sheet(job: Path, out: Path | None, machine: str, units: str | None) -> int:
    """Write the work sheet of JOB: pieces, seams, parts, what to buy, and the order of sewing.

    One HTML page that needs nothing else; it prints well on A4 and Letter.
    """
    from cutpath.cli.progress import showing
    from cutpath.delivery import deliver, slug
    from cutpath.planning import Request
    from cutpath.sheeting import make_sheet, sheet_html

    with showing() as progress:
        planned, made = make_sheet(Request(job, machine, units=units), progress)
        page = sheet_html(made)
    folder = out or Path(f"{slug(planned.job.name)}-sheet")
    sources = [path for path in (job, planned.job.drawing) if path]
    deliver(folder, {"work-sheet.html": page}, sources=sources)
    click.echo(
        f"{folder / 'work-sheet.html'}: {len(made.pieces)} patterns, {len(made.seams)} seams,"
    )
    click.echo(f"  {len(made.sewing.steps)} steps of sewing")
    return 0
