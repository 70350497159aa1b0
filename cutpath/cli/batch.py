"""``cutpath batch``: every job of a folder prepared, by several processes or a cluster."""

from __future__ import annotations

from pathlib import Path

import click

from cutpath.cli.lengths import LengthOption

_EXAMPLES = """\b
Examples:
  cutpath batch orders --on flatbed-hpgl
  cutpath batch orders --on my-table.toml --out prepared --workers 4
  cutpath batch orders --on flatbed-hpgl --cluster tcp://10.0.0.5:8786
"""


@click.command(epilog=_EXAMPLES, short_help="Prepare every job of a folder, many at once.")
@click.argument("folder", type=click.Path(path_type=Path), metavar="FOLDER")
@click.option(
    "--on", "machine", required=True, metavar="PROFILE", help="The machine: a name, or its file."
)
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for all; otherwise NAME-batch, here."
)
@click.option(
    "--workers", type=click.IntRange(1, 512), metavar="N", help="Processes; otherwise one a core."
)
@click.option("--cluster", metavar="ADDRESS", help="Let a Dask cluster do it: tcp://host:8786.")
@click.option("--sheet/--no-sheet", "with_sheet", default=True, help="Work sheets too, or not.")
@click.option("--page", type=click.Choice(["A4", "Letter"]), default="A4", help="Paper of the PDF.")
@click.option(
    "--allowance",
    type=LengthOption(),
    metavar="LENGTH",
    help="Cut drawings without a job file too, with this allowance all round.",
)
@click.option("--units", metavar="UNIT", help="What one unit of the drawings is: mm, in, …")
@click.option("--join", type=LengthOption(), metavar="LENGTH", help="Widest gap that is closed.")
@click.option(
    "--rounds", type=click.IntRange(0, 10_000), metavar="N", help="Effort for the order of strokes."
)
@click.option("--json", "as_json", is_flag=True, help="Print the facts for programs.")
def batch(  # noqa: PLR0913, PLR0917 (one argument an option)
    folder: Path,
    machine: str,
    out: Path | None,
    workers: int | None,
    cluster: str | None,
    with_sheet: bool,
    page: str,
    allowance: float | None,
    units: str | None,
    join: float | None,
    rounds: int | None,
    *,
    as_json: bool,
) -> int:
    """Cut, prove and write the work sheet of every job in FOLDER and the folders below it.

    Each job gets a folder of its own, whole or not at all; what goes wrong with one is told and
    costs no other. What is whole already, and made from the same, is not done again: run it as
    often as you like, also after Ctrl-C. batch.json tells all in order. A lay that is kept beside a
    job is used.
    """
    from cutpath.batching.cluster import on_cluster
    from cutpath.batching.pool import in_processes, usual_workers
    from cutpath.batching.running import run_batch
    from cutpath.batching.task import Wishes
    from cutpath.cli.batch_report import report
    from cutpath.cli.progress import showing
    from cutpath.delivery import slug
    from cutpath.settings.profile import load_profile

    if cluster is not None and workers is not None:
        raise click.UsageError("--workers is for this machine, --cluster for others: use one.")
    profile = load_profile(machine)
    wishes = Wishes(machine, profile, allowance, units, join, rounds, with_sheet, page)
    place = out or Path(f"{slug(folder.resolve().name)}-batch")
    count = workers or usual_workers()
    with showing() as progress:
        done = run_batch(
            folder,
            place,
            wishes,
            lambda tasks: on_cluster(tasks, cluster) if cluster else in_processes(tasks, count),
            progress,
        )
    report(done, place, profile.cautions, as_json=as_json)
    return 0 if done.passed else 1
