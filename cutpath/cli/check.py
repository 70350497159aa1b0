"""``cutpath check``: whether the panels fit together."""

from __future__ import annotations

import json
from pathlib import Path

import click


@click.command()
@click.argument("job", type=click.Path(path_type=Path), metavar="JOB")
@click.option("--units", metavar="UNIT", help="What one unit of the drawing is: mm, in, …")
@click.option(
    "--pictures",
    "folder",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Draw each seam, and one sheet of the whole job, into FOLDER.",
)
@click.option(
    "--why",
    "name",
    metavar="NAME",
    help="Tell how each number of a panel, edge or part came about.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the facts for programs.")
def check(
    job: Path, units: str | None, folder: Path | None, name: str | None, *, as_json: bool
) -> int:
    """Walk every seam of JOB on the net line: lengths, marks, kinks and shape.

    Seams stand in the job file: [[seam]] with join = ["front/top", "top/fore"]. The exit code is 1
    when any seam is out of its tolerance.

    With --pictures, seams.svg shows what is sewn to what (A3), and seam-A.svg and so on each seam
    (A4), to be printed and pinned up; fair-….svg shows each edge laid fair, with its curvature
    comb; seams.json holds the same facts as --json.

    With --why top/aft (an edge), top (a panel) or "aft pocket" (a part) it tells instead, for each
    number, the formula and its source, or where the job says so.
    """
    from cutpath.checking import check as walk_job, facts, pictures
    from cutpath.cli.check_report import report
    from cutpath.cli.progress import showing
    from cutpath.delivery import deliver, earlier_pictures
    from cutpath.planning import Request
    from cutpath.why import why

    with showing() as progress:
        checked = walk_job(Request(job, "", units=units), progress)
        drawn = pictures(checked, progress) if folder else {}
    if name is not None:
        told = why(checked.planned, name)
        click.echo(json.dumps({"why": told}, ensure_ascii=False) if as_json else "\n".join(told))
        return 0
    if folder:
        settings = checked.planned.job
        sources = [path for path in (job, settings.drawing) if path]
        stale = earlier_pictures(folder, settings.name)
        deliver(folder, drawn, stale, sources, "--pictures")
    if as_json:
        click.echo(json.dumps(facts(checked), indent=2, ensure_ascii=False))
    else:
        report(checked)
        if folder:
            click.echo(f"Pictures: {folder / 'seams.svg'} and one of each seam beside it.")
    return 0 if checked.fits else 1
