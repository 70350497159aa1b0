"""``cutpath profile fit``: measured numbers in, a corrected profile out."""

from __future__ import annotations

import json
from pathlib import Path

import click


@click.command("fit")
@click.argument("name", metavar="PROFILE")
@click.argument("measured", type=click.Path(path_type=Path), metavar="MEASURED")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Where the new profile goes; else PROFILE-tuned.toml in this folder.",
)
@click.option("--replace", is_flag=True, help="Write over an earlier file of that name.")
@click.option(
    "--hold",
    "held",
    multiple=True,
    metavar="VALUE",
    help="Keep this value as the profile has it (x_scale, knife.blade_offset …); may be repeated.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the facts for programs.")
def fit_profile(
    name: str,
    measured: Path,
    out: Path | None,
    held: tuple[str, ...],
    *,
    replace: bool,
    as_json: bool,
) -> int:
    """Fit PROFILE to what was measured on its test patterns, and write a new profile.

    MEASURED is the measured.toml that came with the patterns, filled in. Axis scales, skew, play,
    where tools land, a blade's offset and the cloth's advance come out by least squares with their
    uncertainties; overcut, speed, force and lift are taken as you found them best.

    A reading that does not fit the rest is told with what it should be, and left out. Nothing is
    written when the readings contradict each other (exit code 1) or leave a value open (2). The old
    profile is never changed.
    """
    from cutpath.bench.fit.wording import outcome_lines
    from cutpath.fitting import facts, fit, write

    tuned = fit(name, measured, out, held)
    if tuned.text:
        write(tuned, replace=replace)
    if as_json:
        click.echo(json.dumps(facts(tuned), indent=2, ensure_ascii=False))
        return 0
    for line in outcome_lines(tuned.outcome):
        click.echo(line)
    if tuned.text:
        click.echo(f"New profile: {tuned.place}. The old one is as it was.")
        click.echo("Make the patterns again with it: what is left should be within the ±.")
    else:
        click.echo("The profile is right as it is: nothing was written.")
    return 0
