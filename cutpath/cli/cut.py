"""``cutpath cut``: a drawing or job to machine files, proof and picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from cutpath.cli.lengths import LengthOption, TimeOption

if TYPE_CHECKING:
    from cutpath.pipeline import Cut
    from cutpath.planning import Request

_EXAMPLES = """\b
Examples:
  cutpath cut samples/bow-shelter/job.toml --on flatbed-hpgl
  cutpath cut samples/bow-shelter/job.toml --on flatbed-hpgl --time 30s
  cutpath cut panel.dxf --allowance 12.7mm --on gantry-rs274 --units mm
"""


@click.command(epilog=_EXAMPLES, short_help="Write machine files, their proof and pictures.")
@click.argument("source", type=click.Path(path_type=Path), metavar="JOB|DRAWING")
@click.option(
    "--on",
    "machine",
    required=True,
    metavar="PROFILE",
    help="The machine: a profile's name, or its file.",
)
@click.option(
    "--allowance",
    type=LengthOption(),
    metavar="LENGTH",
    help="Allowance all round, for a drawing without a job file.",
)
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the files; otherwise NAME-cut, here."
)
@click.option("--units", metavar="UNIT", help="What one unit of the drawing is: mm, in, …")
@click.option("--join", type=LengthOption(), metavar="LENGTH", help="Widest gap that is closed.")
@click.option(
    "--time",
    "seconds",
    type=TimeOption(),
    default=0,
    metavar="TIME",
    help="How long to look for a shorter lay: 30s, 2min. It is kept beside the job.",
)
@click.option(
    "--lay",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Take this lay: a lay.json, edited by hand or not.",
)
@click.option(
    "--rounds",
    type=click.IntRange(0, 10_000),
    metavar="N",
    help="Effort for a quicker order of strokes; the same number, the same order.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the facts for programs.")
def cut(  # noqa: PLR0913, PLR0917 (one argument an option)
    source: Path,
    machine: str,
    allowance: float | None,
    out: Path | None,
    units: str | None,
    join: float | None,
    seconds: int,
    lay: Path | None,
    rounds: int | None,
    *,
    as_json: bool,
) -> int:
    """Write the machine files that cut JOB (a job.toml) or DRAWING (a DXF or SVG).

    Each file comes with a picture, and proof.json says how far off it is. A machine file that does
    not pass its proof is not written.
    """
    from cutpath.cli.cut_report import report
    from cutpath.laying import LayWish
    from cutpath.planning import Request

    request = Request(source, machine, allowance, units, join, LayWish(seconds, lay), rounds)
    outcome, folder = cut_to_folder(request, out)
    report(outcome, folder, as_json=as_json)
    return 0 if outcome.passed else 1


def cut_to_folder(request: Request, out: Path | None) -> tuple[Cut, Path]:
    """Cut as asked and write what comes of it into ``out``, otherwise NAME-cut, here."""
    from cutpath.cli.progress import showing
    from cutpath.delivery import deliver, earlier_files, slug
    from cutpath.lay_report import lay_to_keep
    from cutpath.pipeline import cut as make, files_to_deliver

    lay = request.lay.given
    with showing() as progress:
        outcome = make(request, progress)
    folder = out or Path(f"{slug(outcome.job.name)}-cut")
    files, stale = files_to_deliver(outcome)
    if lay is not None and lay.resolve() == (folder / "lay.json").resolve():
        files.pop("lay.json", None)  # it was edited where it lies: leave it as it is
    stale += earlier_files(folder, outcome.job.name)
    machine = Path(request.machine)
    sources = [path for path in (request.source, outcome.job.drawing, machine, lay) if path]
    deliver(folder, files, stale, sources)
    kept = lay_to_keep(outcome.laid, outcome.job)
    if kept is not None:
        deliver(kept[0].parent, {kept[0].name: kept[1]})
    return outcome, folder
