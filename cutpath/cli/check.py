"""``cutpath check``: whether the panels fit together."""

from __future__ import annotations

import json
from pathlib import Path

import click


@click.command()
@click.argument("job", type=click.Path(path_type=Path), metavar="JOB")
@click.option("--units", metavar="UNIT", help="What one unit of the drawing is: mm, in, …")
@click.option("--json", "as_json", is_flag=True, help="Print the facts for programs.")
def check(job: Path, units: str | None, *, as_json: bool) -> int:
    """Walk every seam of JOB on the net line: lengths, marks, kinks and shape.

    Seams stand in the job file: [[seam]] with join = ["front/top", "top/fore"]. The exit code is 1
    when any seam is out of its tolerance.
    """
    from cutpath.checking import check as walk_job, facts
    from cutpath.cli.check_report import report
    from cutpath.cli.progress import showing
    from cutpath.pipeline import Request

    with showing() as progress:
        checked = walk_job(Request(job, "", units=units), progress)
    if as_json:
        click.echo(json.dumps(facts(checked), indent=2, ensure_ascii=False))
    else:
        report(checked)
    return 0 if checked.fits else 1
