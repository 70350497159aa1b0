"""What is set as the technician saw it best, without a fit: overcut, speed, force, lift."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutpath.bench.fit.listing import listed
from cutpath.bench.fit.outcome import Setting
from cutpath.errors import CutpathError, InputError, Source
from cutpath.settings.measured_entries import LadderEntry, LiftEntry, OvercutEntry, RepeatEntry
from cutpath.settings.measured_file import Made, Measured
from cutpath.settings.profile import Language, Profile
from cutpath.settings.toml_file import nearest_word
from cutpath.units import parse_length

_SAME = 1e-6


def settings(measured: Measured, profile: Profile) -> tuple[Setting, ...]:
    """Give what is written as it was found best. Raises InputError for what no pattern has."""
    return tuple(found for made in measured.patterns for found in _settings(made, profile))


def notes(measured: Measured, profile: Profile) -> tuple[str, ...]:
    """Give what there is to tell of how well the machine comes back to a place."""
    return tuple(
        words
        for made in measured.patterns
        if isinstance(made.entry, RepeatEntry)
        for words in _repeats(made, made.entry, profile)
    )


def _settings(made: Made, profile: Profile) -> Iterator[Setting]:
    entry = made.entry
    if not made.words:
        return
    if entry.tool and entry.tool not in profile.tools:
        message = f"the profile '{profile.name}' has no tool '{entry.tool}'"
        raise InputError(message, made.source, nearest_word(entry.tool, profile.tools))
    if isinstance(entry, OvercutEntry):
        yield _overcut(made, entry, profile)
    elif isinstance(entry, LadderEntry):
        yield from _ladder(made, entry, profile)
    elif isinstance(entry, LiftEntry):
        yield _lift(made, entry, profile)


def _overcut(made: Made, entry: OvercutEntry, profile: Profile) -> Setting:
    """Give the least overcut that closed every piece, and what the pieces say is needed.

    Each closes somewhere in the step below what is read: half a step less is the mean, and rounding
    up by whole steps leaves step / √12, however many pieces there are.
    """
    tried = sorted(entry.values)
    rows = [_one_of(tried, made, key, text) for key, text in made.words.items()]
    closed = [tried[row] for row in rows]
    steps = [tried[row] - tried[row - 1] if row else tried[row] for row in rows]
    middles = [value - step / 2 for value, step in zip(closed, steps, strict=True)]
    needed = sum(middles) / len(middles)
    spread = sum((each - needed) ** 2 for each in middles) / max(len(middles) - 1, 1)
    sigma = math.sqrt(max(steps) ** 2 / 12 + spread / len(middles))
    new, old = max(closed), profile.tools[entry.tool].overcut
    words = (
        f"{entry.tool}: an overcut of {new:g} mm closed every piece; the knife needs "
        f"{needed:.2f} mm (± {2 * sigma:.2f} mm). The profile says {old:g} mm."
    )
    key = ("tools", entry.tool, "overcut") if abs(new - old) > _SAME else ()
    return Setting(key, f'"{new:g} mm"', words)


def _ladder(made: Made, entry: LadderEntry, profile: Profile) -> Iterator[Setting]:
    best = made.words["best"].strip().upper()
    letters = [chr(ord("A") + index) for index in range(max(len(entry.columns), 1))]
    known = [f"{letter}{row + 1}" for letter in letters for row in range(len(entry.rows))]
    if best not in known:
        raise InputError(f"the ladder has no '{best}'", made.source, nearest_word(best, known))
    tool, speed = profile.tools[entry.tool], entry.rows[int(best[1:]) - 1]
    key = ("tools", entry.tool, "speed") if speed != tool.speed else ()
    yield Setting(key, f"{speed:g}", f"{entry.tool}: {best} was best: {speed:g} mm/s.")
    if not entry.columns or entry.column == "none":
        return
    value = entry.columns[letters.index(best[0])]
    unit = " mm" if entry.column == "depth" else ""
    key = ("tools", entry.tool, entry.column) if value != getattr(tool, entry.column) else ()
    text = f'"{value:g} mm"' if unit else f"{value:.0f}"
    words = f"{entry.tool}: {best} was best: {entry.column} {value:g}{unit}."
    yield Setting(key, text, words)


def _lift(made: Made, entry: LiftEntry, profile: Profile) -> Setting:
    """Give the travel height one step above the least that left no mark: cloth lies in waves."""
    heights = sorted(entry.values)
    row = _one_of(heights, made, "clear_at", made.words["clear_at"])
    clear, new = heights[row], heights[min(row + 1, len(heights) - 1)]
    words = f"{clear:g} mm is the least travel height that left no mark"
    if profile.language is not Language.RS274:
        return Setting((), "", f"{words}; HP-GL says no height: set it on the machine.")
    above = f"; {new:g} mm is one step above it" if new > clear else "; nothing higher was tried"
    same = abs(new - profile.output.travel_height) < _SAME
    return Setting(() if same else ("output", "travel_height"), f'"{new:g} mm"', f"{words}{above}.")


def _repeats(made: Made, entry: RepeatEntry, profile: Profile) -> Iterator[str]:
    for reading in made.readings:
        axis = reading.key[-1]
        yield (
            f"Coming back {entry.returns} times, {axis} lands within {reading.mm:g} mm. No length "
            "between two places is taken to be surer than that allows."
        )
        tight = [name for name, tool in profile.tools.items() if tool.tolerance < reading.mm]
        if tight:
            yield (
                f"The tolerance of {listed(tight, 'and')} is tighter than {axis} comes back: the "
                "proof tells what is told, not where the machine lands."
            )


def _one_of(tried: list[float], made: Made, key: str, text: str) -> int:
    """Give which of the values ``tried`` the reading ``text`` names. Raises InputError for none."""
    place = Source(file=made.source.file, line=made.source.line, key=key)
    try:
        value = parse_length(text)
    except CutpathError as error:
        raise InputError(error.message, place, error.remedy) from error
    for row, each in enumerate(tried):
        if abs(each - value) < _SAME:
            return row
    listed = ", ".join(f"{each:g} mm" for each in tried)
    raise InputError(f"nothing was made at {value:g} mm", place, f"Tried were: {listed}.")
