"""``cutpath profile``: the profiles there are, what one says, and whether it holds together."""

from __future__ import annotations

import click

from cutpath.cli.profile_fit import fit_profile
from cutpath.cli.profile_pattern import pattern
from cutpath.errors import FitError


@click.group()
def profile() -> None:
    """Look at machine profiles, check them, test their machines, and tune them."""


profile.add_command(pattern)
profile.add_command(fit_profile)


@profile.command("list")
def list_profiles() -> None:
    """List the profiles that come with cutpath."""
    from cutpath.settings.profile import load_profile, shipped_profiles

    for name in shipped_profiles():
        click.echo(f"{name:24} {load_profile(name).name}")


@profile.command()
@click.argument("name")
def show(name: str) -> None:
    """Say in plain words what the profile NAME (or a file) says."""
    from cutpath.settings.profile import load_profile
    from cutpath.settings.profile_check import smallest_step

    said = load_profile(name)
    bed = said.bed
    click.echo(f"{said.name}. Spoken to in {said.language}, steps of {smallest_step(said):g} mm.")
    click.echo(
        f"It reaches {bed.width:g} mm to the right and {bed.height:g} mm away, and counts from "
        f"{bed.origin}: +x goes {bed.x}, +y goes {bed.y}."
    )
    for key, tool in said.tools.items():
        speed = f" at {tool.speed:g} mm/s" if tool.speed else ""
        works = " and ".join(tool.roles)
        trail = f"; its tip trails by {tool.blade_offset:g} mm" if tool.blade_offset else ""
        past = f"; closed cuts run {tool.overcut:g} mm past their start" if tool.overcut else ""
        click.echo(
            f"Tool {tool.number}, {key}: does {works}{speed}{trail}{past}; "
            f"its cut may stray {tool.tolerance:g} mm."
        )
    for caution in said.cautions:
        click.echo(f"Caution: {caution}")


@profile.command()
@click.argument("name")
def check(name: str) -> None:
    """Check the profile NAME (or a file) for unknown keys and contradictions."""
    from cutpath.settings.profile import load_profile
    from cutpath.settings.profile_check import contradictions

    said = load_profile(name)
    found = contradictions(said)
    for one in found:
        click.echo(f"{one.key}: {one.message}\n  {one.remedy}")
    if found:
        raise FitError(f"{len(found)} contradiction(s) in {name}")
    click.echo(f"{said.name}: nothing in it contradicts itself.")
