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
@click.option("--page", type=click.Choice(["A4", "Letter"]), default="A4", help="Paper of the PDF.")
@click.option("--units", metavar="UNIT", help="What one unit of the drawing is: mm, in, …")
def sheet(job: Path, out: Path | None, machine: str, page: str, units: str | None) -> int:
    """Write the work sheet of JOB: pieces, seams, parts, what to buy, and the order of sewing.

    One HTML page that needs nothing else, and the same as a PDF.
    """
    from cutpath.cli.progress import showing
    from cutpath.delivery import deliver, slug
    from cutpath.planning import Request
    from cutpath.sheeting import make_sheet, sheet_html, sheet_pdf

    with showing() as progress:
        planned, made = make_sheet(Request(job, machine, units=units), progress)
        files = {"work-sheet.html": sheet_html(made), "work-sheet.pdf": sheet_pdf(made, page)}
    folder = out or Path(f"{slug(planned.job.name)}-sheet")
    sources = [path for path in (job, planned.job.drawing) if path]
    deliver(folder, files, sources=sources)
    click.echo(f"{folder / 'work-sheet.html'}, and the same as .pdf")
    click.echo(
        f"  {len(made.pieces)} patterns, {len(made.seams)} seams, {len(made.sewing.steps)} steps"
    )
    return 0
