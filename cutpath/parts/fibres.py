"""What heat may touch: fibres whose ends a hot blade seals, and those nothing hot comes near."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from cutpath.settings.part_tables.webbing import Fibre
from cutpath.settings.toml_file import Settings, checked, parsed

Range = tuple[float, float]


class Sealed(Settings):
    """How ends of a fibre are sealed: °C of a standing blade, its wait in s, speed in mm/s."""

    melts: Range
    melts_source: str
    decomposes: float
    blade: Range
    dwell: Range
    speed: Range
    blade_source: str


class Refused(Settings):
    """Why nothing hot comes near a fibre."""

    why: str
    source: str


class Fibres(Settings):
    """The whole table: each fibre is in one half or the other."""

    sealed: dict[Fibre, Sealed]
    refused: dict[Fibre, Refused]


@cache
def fibres() -> Fibres:
    """Give the table that comes with cutpath."""
    name = "fibres.toml"
    text = files("cutpath.parts").joinpath("data", name).read_text(encoding="utf-8")
    return checked(parsed(text, name), text, name, Fibres)
