"""``cutpath profile pattern``: the technician's test patterns."""

from __future__ import annotations

import re
from pathlib import Path

import click

from cutpath.cli.lengths import LengthOption

_EXAMPLES = """\b
Examples:
  cutpath profile pattern --list
  cutpath profile pattern scale --on flatbed-hpgl --size 900mmx600mm
  cutpath profile pattern ladder --on flatbed-hpgl --values 100,200,300/10,15,20
"""


class _SizeOption(click.ParamType):  # type: ignore[type-arg]
    """Two lengths, along the machine's x and y: 600mmx400mm, given to the program in mm."""

    name = "size"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        if isinstance(value, tuple):
            return value
        parts = [part for part in re.split(r"[x×,]", str(value)) if part.strip()]
        if len(parts) != 2:
            self.fail(f"'{value}' is not a size. Write it like 600mmx400mm", param, ctx)
        along_x, along_y = (LengthOption().convert(part.strip(), param, ctx) for part in parts)
        return along_x, along_y


@click.command("pattern", epilog=_EXAMPLES, short_help="Write a test pattern, and its page.")
@click.argument("name", required=False, metavar="NAME")
@click.option("--on", "machine", metavar="PROFILE", help="The machine: a profile's name or file.")
@click.option("--list", "listing", is_flag=True, help="Say what each pattern finds out.")
@click.option(
    "--size", type=_SizeOption(), metavar="LENGTHxLENGTH", help="Along the machine's x and y."
)
@click.option("--tool", default="", metavar="TOOL", help="The profile's name of the tool to test.")
@click.option("--values", default="", metavar="VALUES", help="What is tried, with commas.")
@click.option("--page", type=click.Choice(["A4", "Letter"]), default="A4", help="Paper of the PDF.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder; otherwise PROFILE-bench, here."
)
@click.option("--json", "as_json", is_flag=True, help="Print the facts for programs.")
def pattern(  # noqa: PLR0913 (one argument an option)
    name: str | None,
    *,
    machine: str | None,
    listing: bool,
    size: tuple[float, float] | None,
    tool: str,
    values: str,
    page: str,
    out: Path | None,
    as_json: bool,
) -> int:
    """Write the test pattern NAME for a machine.

    Its files, proved like those of jobs, a picture, a page that says what to measure and how, and
    measured.toml, the form for 'cutpath profile fit'. Patterns in one folder share one form.
    """
    if listing or name is None:
        _list(machine)
        return 0
    if machine is None:
        raise click.UsageError("say for which machine: --on PROFILE")
    from cutpath.bench.pattern_model import Wish
    from cutpath.delivery import PROOF, deliver, slug
    from cutpath.patterning import Earlier, make_patterned, pattern_files

    made = make_patterned(name, machine, Wish(size, tool, values))
    folder = out or Path(f"{slug(Path(machine).stem)}-bench")
    files = pattern_files(made, page, Earlier.in_folder(folder))
    deliver(folder, files, () if made.passed else made.machine_files, [Path(machine)])
    if as_json:
        click.echo(files[PROOF].decode("utf-8"), nl=False)
        return 0 if made.passed else 1
    for file in made.files:
        proof = file.written.proof.as_dict()
        verdict = "passed" if proof["passed"] else "NOT PASSED, and not written"
        click.echo(
            f"{folder / (file.name + made.profile.file_suffix)}: {len(file.toolpaths)} strokes, "
            f"about {max(1, round(file.written.clock.total / 60))} min. Proof {verdict} "
            f"({proof['deviation_mm']} mm off, tolerance {proof['tolerance_mm']} mm)."
        )
    click.echo(f"Print {folder / f'{name}.pdf'}: it says what to measure, and how.")
    click.echo(
        f"Write the {len(made.pattern.gauges)} reading(s) into {folder / 'measured.toml'}, then: "
        f"cutpath profile fit {machine} {folder / 'measured.toml'}"
    )
    for caution in (*made.pattern.cautions, *made.profile.cautions):
        click.echo(f"Caution: {caution}")
    return 0 if made.passed else 1


def _list(machine: str | None) -> None:
    from cutpath.bench.catalogue import CATALOGUE, patterns_for
    from cutpath.settings.profile import load_profile

    able = CATALOGUE if machine is None else patterns_for(load_profile(machine))
    for name, entry in CATALOGUE.items():
        cannot = "" if name in able else "  (this machine cannot)"
        click.echo(f"{name:10} {entry.finds}{cannot}")
        if entry.values and name in able:
            click.echo(f"{'':10} --values {entry.values}")
