"""``cutpath start``: a first job file from a bare drawing."""

from __future__ import annotations

from pathlib import Path

import click

from cutpath.cli.lengths import LengthOption

_EXAMPLES = """\b
Examples:
  cutpath start hood.dxf
  cutpath start hood.dxf --units mm --out jobs/hood.toml
"""


@click.command(epilog=_EXAMPLES, short_help="Write a first job file from a drawing.")
@click.argument("drawing", type=click.Path(path_type=Path), metavar="DRAWING")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The job file; otherwise job.toml beside the drawing.",
)
@click.option("--units", metavar="UNIT", help="What one unit of the drawing is: mm, in, …")
@click.option("--join", type=LengthOption(), metavar="LENGTH", help="Widest gap that is closed.")
@click.option("--replace", is_flag=True, help="Write over a job file that is there already.")
@click.option("--json", "as_json", is_flag=True, help="Print the facts for programs.")
def start(
    drawing: Path,
    out: Path | None,
    units: str | None,
    join: float | None,
    *,
    replace: bool,
    as_json: bool,
) -> int:
    """Write a first job file from DRAWING (a DXF or SVG).

    It names the panels and their edges and holds the seams, guessed from lengths, marks, ends and
    names, each with its reason and how sure it is. It can be checked and cut as it is; what else a
    job can say stands in its remarks.
    """
    from cutpath.cli.progress import showing
    from cutpath.cli.start_report import report
    from cutpath.delivery import deliver
    from cutpath.starting import StartRequest, job_place, start as make

    place = job_place(drawing, out, replace=replace)
    with showing() as progress:
        started = make(StartRequest(drawing, place, units, join), progress)
    deliver(place.parent, {place.name: started.text.encode("utf-8")}, sources=[drawing])
    report(started, place, as_json=as_json)
    return 0
