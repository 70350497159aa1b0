"""``cutpath paper``: full-size templates."""

from __future__ import annotations

from pathlib import Path

import click

from cutpath.cli.lengths import LengthOption


class _Measured(click.ParamType):  # type: ignore[type-arg]
    """What a 100 mm square came out as: one length, or two with a comma (across, up)."""

    name = "measured"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        if isinstance(value, tuple):
            return value
        parts = [part for part in str(value).split(",") if part.strip()]
        if not 1 <= len(parts) <= 2:
            self.fail('Give one length or two: "98.6mm" or "98.6mm,99.1mm".', param, ctx)
        lengths = [LengthOption().convert(part.strip(), param, ctx) for part in parts]
        return lengths[0], lengths[-1]


@click.command(short_help="Write full-size paper templates.")
@click.argument("source", type=click.Path(path_type=Path), metavar="JOB|DRAWING")
@click.option(
    "--page",
    "size",
    metavar="SIZE",
    default="A4",
    help='A4 … A0, Letter, Tabloid, "ANSI D", "roll 914mm".',
)
@click.option(
    "--on", "machine", metavar="PROFILE", default="", help="Draw them by this machine's pen."
)
@click.option("--lying", is_flag=True, help="Sheets lie on their long side.")
@click.option("--margin", type=LengthOption(), default="10mm", help="Kept free on every side.")
@click.option("--overlap", type=LengthOption(), default="12mm", help="What neighbours share.")
@click.option(
    "--lines",
    type=click.Choice(["both", "cut", "net"]),
    default="both",
    help="Which lines are drawn.",
)
@click.option("--one-piece-a-sheet", "apart", is_flag=True, help="Patterns don't share sheets.")
@click.option(
    "--measured",
    type=_Measured(),
    metavar="LENGTH[,LENGTH]",
    help="What the 100 mm square came out as (across, up), to make up for the printer.",
)
@click.option("--svg", "as_svg", is_flag=True, help="An SVG for each page, not one PDF.")
@click.option(
    "--allowance", type=LengthOption(), metavar="LENGTH", help="For a drawing without a job file."
)
@click.option("--units", metavar="UNIT", help="What one unit of the drawing is: mm, in, …")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for the files; otherwise NAME-paper, here.",
)
def paper(  # noqa: PLR0913 (one argument an option)
    source: Path,
    *,
    machine: str,
    size: str,
    margin: float,
    overlap: float,
    lines: str,
    measured: tuple[float, float] | None,
    allowance: float | None,
    units: str | None,
    out: Path | None,
    lying: bool,
    apart: bool,
    as_svg: bool,
) -> int:
    """Write full-size templates of JOB (a job.toml) or DRAWING (a DXF or SVG) to print and tape.

    The first page holds test squares, a ruler and the map of all sheets. Patterns larger than a
    sheet are tiled, with lozenges that close where sheets meet; small ones share sheets.
    """
    from cutpath.cli.progress import showing
    from cutpath.delivery import deliver, slug
    from cutpath.paper.sheets import sheet_of
    from cutpath.paper.template import Shown
    from cutpath.papering import PaperWish, make_paper, paper_files
    from cutpath.planning import Request
    from cutpath.plotting_paper import plot_pages, plotted_files, plotter_sheet
    from cutpath.settings.profile import load_profile

    profile = load_profile(machine) if machine else None
    if profile is None:
        sheet = sheet_of(size, margin, overlap, lying=lying)
    else:
        sheet = plotter_sheet(profile, overlap)
    shown = Shown(cut=lines != "net", net=lines != "cut")
    wish = PaperWish(sheet, shown, apart, measured or (100.0, 100.0))
    with showing() as progress:
        papered = make_paper(Request(source, machine, allowance, units), wish, progress)
        if profile is None:
            files, passed = paper_files(papered, as_svg=as_svg), True
        else:
            files, passed = plotted_files(plot_pages(papered.pages, profile), profile)
    job = papered.planned.job
    folder = out or Path(f"{slug(job.name)}-paper")
    sources = [path for path in (source, job.drawing) if path]
    deliver(folder, files, sources=sources)
    kind = profile.file_suffix if profile else ".svg"
    where = folder / (f"page-…{kind}" if as_svg or profile else "templates.pdf")
    count = len(papered.pages)
    click.echo(f"{where}: {len(papered.templates)} patterns on {count} pages of {sheet.name}")
    if not passed:
        click.echo(f"Proof NOT passed: no machine file was written. See {folder / 'proof.json'}")
        return 1
    click.echo("Print at 100 %, and measure the squares on the first page before you cut.")
    return 0
