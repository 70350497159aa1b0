"""Readings to observations: each with the forward model that says what it should be."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from cutpath.bench.fit.forward import Forward
from cutpath.bench.fit.unknowns import Values
from cutpath.errors import InputError, Source
from cutpath.settings.measured_entries import (
    AdvanceEntry,
    BacklashEntry,
    BladeEntry,
    DrillEntry,
    LengthPattern,
    PatternEntry,
    RepeatEntry,
    ScaleEntry,
    ToolsEntry,
)
from cutpath.settings.measured_file import Made, Measured, Reading
from cutpath.settings.profile import Profile
from cutpath.settings.toml_file import nearest_word

Model = Callable[[Values], float]
_MACHINE = ("x_scale", "y_scale", "skew")


@dataclass(frozen=True, slots=True)
class Observation:
    """A reading that was, or could be, taken: what the model makes of it, of which values.

    ``wanted`` are the values that its pattern is made to settle, ``about`` those its model uses,
    without those that hardly matter to it. ``reading`` is None where it was not taken.
    """

    name: str
    model: Model
    wanted: tuple[str, ...]
    about: tuple[str, ...]
    mm: float
    sigma: float
    reading: Reading | None


def observations(measured: Measured, profile: Profile, told: Values) -> list[Observation]:
    """Give every length that was read, with its model.

    Raises InputError for tools that the profile lacks and readings that nothing can make.
    """
    least = _least_uncertainty(measured.patterns)
    found = []
    for made in measured.patterns:
        if isinstance(made.entry, RepeatEntry):
            continue
        for reading in made.readings:
            modelled = _modelled(made, reading.key, reading.tool, profile, told, reading.source)
            name = ".".join(part for part in (made.label, reading.tool, reading.key) if part)
            sigma = max(reading.uncertainty, least)
            found.append(Observation(name, *modelled, reading.mm, sigma, reading))
    return found


def candidates(measured: Measured, profile: Profile, told: Values) -> list[Observation]:
    """Give readings that the patterns in ``measured`` have and that were not taken."""
    found = []
    for made in measured.patterns:
        entry = made.entry
        if not isinstance(entry, LengthPattern) or isinstance(entry, RepeatEntry):
            continue
        taken = {(reading.tool, reading.key) for reading in made.readings}
        tools = dict.fromkeys(reading.tool for reading in made.readings)
        for tool in tools or [""]:
            for key in entry.examples:
                if (tool, key) in taken or (isinstance(entry, ToolsEntry) and not tool):
                    continue
                modelled = _modelled(made, key, tool, profile, told, made.source)
                name = ".".join(part for part in (made.label, tool, key) if part)
                found.append(Observation(name, *modelled, 0.0, entry.uncertainty, None))
    return found


def _least_uncertainty(patterns: Sequence[Made]) -> float:
    """Give the uncertainty that returning to a place leaves in every length between two, mm."""
    spreads = [
        spread_sigma(reading.mm, made.entry.returns)
        for made in patterns
        if isinstance(made.entry, RepeatEntry)
        for reading in made.readings
    ]
    return math.sqrt(2) * max(spreads, default=0.0)


def spread_sigma(spread: float, returns: int) -> float:
    """Give the standard deviation that a range of ``returns`` normal values tells of.

    The mean range of n normal values is ∫ 1 − Φⁿ − (1 − Φ)ⁿ times their deviation (Tippett 1925,
    from memory; 2.326 for n = 5).
    """
    count, step = 4000, 0.005
    cumulated = (0.5 * math.erfc(-(i - count / 2) * step / math.sqrt(2)) for i in range(count))
    mean = step * sum(1 - p**returns - (1 - p) ** returns for p in cumulated)
    return abs(spread) / mean


Modelled = tuple[Model, tuple[str, ...], tuple[str, ...]]


def _modelled(
    made: Made, key: str, tool: str, profile: Profile, told: Values, place: Source
) -> Modelled:
    entry = made.entry
    for name in _tools_of(entry, tool):
        if name not in profile.tools:
            message = f"the profile '{profile.name}' has no tool '{name}'"
            raise InputError(message, place, nearest_word(name, profile.tools))
    forward = Forward(told)
    if isinstance(entry, ScaleEntry):
        return _scale(forward, entry, key)
    if isinstance(entry, BacklashEntry):
        axis = key[0]
        both = ("x_backlash", "y_backlash")
        return (lambda values: forward.play(values, axis)), both, (f"{axis}_backlash",)
    if isinstance(entry, BladeEntry):
        return _blade(forward, entry, key, place)
    if isinstance(entry, AdvanceEntry):
        names, advance = ("advance_scale",), entry.advance
        along = _cloth_axis(profile)
        return (lambda values: forward.advanced(values, along, advance)), names, names
    if isinstance(entry, DrillEntry):
        return _drill(forward, entry, key, profile)
    assert isinstance(entry, ToolsEntry)
    return _beside(forward, tool, entry.reference, key)


def _tools_of(entry: PatternEntry, table: str) -> Iterator[str]:
    yield from (name for name in (entry.tool, table) if name)
    if isinstance(entry, ToolsEntry | DrillEntry):
        yield entry.reference


def _cloth_axis(profile: Profile) -> str:
    """Give the machine's axis that the cloth runs along."""
    run = profile.run_in_machine()
    return "x" if abs(run[0]) > abs(run[1]) else "y"


def _scale(forward: Forward, entry: ScaleEntry, key: str) -> Modelled:
    width, height = entry.size
    if key in {"near", "middle_x", "far"}:
        asked = (width, 0.0)
        about: tuple[str, ...] = ("x_scale",)
    elif key in {"left", "middle_y", "right"}:
        asked, about = (0.0, height), ("y_scale",)
    else:
        asked, about = (width if key == "rising" else -width, height), _MACHINE
    return (lambda values: forward.length(values, asked)), _MACHINE, about


def _blade(forward: Forward, entry: BladeEntry, key: str, place: Source) -> Modelled:
    tool, name = entry.tool, f"{entry.tool}.blade_offset"
    kind, _, rest = key.partition("_")
    if kind == "gap":
        axis = rest[0]
        both = (name, f"{axis}_backlash")
        return (lambda values: forward.slit_gap(values, tool, axis)), (name,), both
    if kind == "circle":
        diameter = 2 * float(rest)
        return (lambda values: forward.circle(values, tool, diameter)), (name,), (name,)
    turn = math.radians(float(rest))
    if not 0 < turn < math.pi:
        raise InputError(
            f"a corner of {rest} degrees does not turn", place, "Corners turn by 1 to 179 degrees."
        )
    about = (name, "x_backlash") if float(rest) > 90 else (name,)
    return (lambda values: forward.corner(values, tool, turn)), (name,), about


def _beside(forward: Forward, tool: str, reference: str, key: str) -> Modelled:
    index = "xy".index(key[1])
    names = (f"{tool}.offset_x", f"{tool}.offset_y")
    return (
        (lambda values: forward.beside(values, tool, reference)[index]),
        names,
        (names[index],),
    )


def _drill(forward: Forward, entry: DrillEntry, key: str, profile: Profile) -> Modelled:
    tool = entry.tool
    if key != "hole":
        return _beside(forward, tool, entry.reference, key)
    said, name = profile.tools[tool], f"{tool}.diameter"
    # A hole made by many hits is as much wider than the drill as the hits go round.
    wider = said.hole - said.diameter if said.hole and said.diameter else 0.0
    return (lambda values: values[name] + wider), (name,), (name,)
