"""Lengths as options: ``--allowance 12.7mm``."""

from __future__ import annotations

from dataclasses import replace

import click

from cutpath.errors import CutpathError
from cutpath.units import parse_length


class LengthOption(click.ParamType):  # type: ignore[type-arg]
    """A length with a unit, given to the program in mm; at least ``least`` mm."""

    name = "length"

    def __init__(self, least: float = 0.0) -> None:
        self.least = least

    def convert(
        self, value: str | float, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the length; a bad one is told with the option's name."""
        try:
            length = parse_length(value)
        except CutpathError as error:
            name = param.opts[-1] if param is not None else ""
            error.source = replace(error.source, key=name)
            raise
        if length < self.least:
            self.fail(f"{value} is below {self.least:g} mm", param, ctx)
        return length
