"""Lengths and times as options: ``--allowance 12.7mm``, ``--time 30s``."""

from __future__ import annotations

import re
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


class TimeOption(click.ParamType):  # type: ignore[type-arg]
    """A time of up to a day, given to the program in whole seconds."""

    name = "time"

    def convert(
        self, value: str | int, param: click.Parameter | None, ctx: click.Context | None
    ) -> int:
        """Read the time: a number and s, min or h; seconds when nothing is said."""
        match = re.fullmatch(r"\s*(\d{1,6}(?:\.\d{1,3})?)\s*(s|min|h)?\s*", str(value))
        if match is None:
            self.fail(f"'{value}' is not a time. Write it like 30s or 2min", param, ctx)
        seconds = round(float(match[1]) * {"min": 60, "h": 3600}.get(match[2] or "s", 1))
        if seconds > 86_400:
            self.fail(f"{value} is longer than a day", param, ctx)
        return seconds
