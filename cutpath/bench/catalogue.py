"""The ten patterns by name: what each finds, and which of them a machine can make."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutpath.bench.choosing import CannotError
from cutpath.bench.ground import Ground, ground_of
from cutpath.bench.pattern_model import Pattern, Wish, placed
from cutpath.bench.patterns import (
    advance,
    backlash,
    blade,
    drill,
    ladder,
    lift,
    overcut,
    repeat,
    scale,
    tools,
)
from cutpath.errors import InputError, MachineError
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.profile import Profile


@dataclass(frozen=True, slots=True)
class Entry:
    """One pattern: how it is made, what it finds, and whether it takes values of its own."""

    make: Callable[[Profile, Ground, Wish], Pattern]
    finds: str
    values: str = ""


CATALOGUE: dict[str, Entry] = {
    "scale": Entry(scale.make, "lengths along x and y, and squareness, by nine crosses"),
    "backlash": Entry(backlash.make, "play of each axis where its direction turns"),
    "blade": Entry(blade.make, "how far a drag blade's tip trails behind its pivot"),
    "overcut": Entry(
        overcut.make, "how far a closed cut must run past its start", "overcuts: 0mm,0.5mm,1mm"
    ),
    "tools": Entry(tools.make, "where each tool lands beside the first one"),
    "ladder": Entry(
        ladder.make,
        "the best speed, and force or depth",
        "speeds / forces: 100,200,300/10,15,20 (or depths: /0.5mm,1mm)",
    ),
    "lift": Entry(lift.make, "how low a tool may travel over the cloth", "heights: 1mm,2mm,4mm"),
    "repeat": Entry(repeat.make, "how well the machine comes back to one place"),
    "advance": Entry(advance.make, "how far the cloth really advances between two frames"),
    "drill": Entry(drill.make, "where the drill lands, and how large its hole is"),
}


def make_pattern(name: str, profile: Profile, wish: Wish) -> Pattern:
    """Give the pattern ``name`` on the profile's bed.

    Raises InputError for an unknown name or a wish that cannot be met, MachineError where the
    machine lacks what the pattern needs: it says which patterns the machine can make.
    """
    if name not in CATALOGUE:
        raise InputError(f"there is no pattern '{name}'", remedy=nearest_word(name, CATALOGUE))
    entry = CATALOGUE[name]
    if wish.values and not entry.values:
        raise InputError(
            f"the pattern '{name}' takes no --values",
            remedy="They are for: " + ", ".join(n for n, e in CATALOGUE.items() if e.values) + ".",
        )
    ground = ground_of(profile)
    try:
        return placed(entry.make(profile, ground, wish), ground.to_bed)
    except CannotError as error:
        able = ", ".join(patterns_for(profile))
        raise MachineError(
            f"'{profile.name}' cannot make the pattern '{name}': {error.message}",
            remedy=f"It can make: {able}." if able else "It can make none of the patterns.",
        ) from error


def patterns_for(profile: Profile) -> tuple[str, ...]:
    """Give the names of the patterns that the profile's machine can make."""
    ground = ground_of(profile)
    found = []
    for name, entry in CATALOGUE.items():
        try:
            entry.make(profile, ground, Wish())
        except MachineError:
            continue
        found.append(name)
    return tuple(found)
