"""``cutpath profile``: the profiles there are, what one says, and whether it holds together."""

from __future__ import annotations

import textwrap

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
    from cutpath.settings.profile_words import kind_words

    for name in shipped_profiles():
        said = load_profile(name)
        click.echo(f"{name:21} {kind_words(said)}: {said.name}")


@profile.command()
@click.argument("name")
def show(name: str) -> None:
    """Say in plain words what the profile NAME (or a file) says."""
    from cutpath.settings.profile import load_profile
    from cutpath.settings.profile_words import profile_words

    for heading, sentences in profile_words(load_profile(name)):
        if sentences:
            click.secho(heading, bold=True)
        for sentence in sentences:
            click.echo(textwrap.fill(sentence, 96, initial_indent="  ", subsequent_indent="    "))


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
