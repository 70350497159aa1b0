"""Why a measured file gives no new profile, in words that say what to do."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.bench.fit.listing import listed
from cutpath.bench.fit.observing import Observation
from cutpath.bench.fit.outcome import Misread
from cutpath.bench.fit.rounding import in_written_unit
from cutpath.bench.fit.slips import likely_slip
from cutpath.bench.fit.unknowns import Kind, Unknown, Values
from cutpath.errors import FitError, InputError, Source
from cutpath.settings.measured_file import Measured

_UNITS = {Kind.SCALE: "", Kind.ANGLE: " deg", Kind.LENGTH: " mm"}
_USUAL = 0.01
"""A machine is seldom further off than this share of a length."""


def undetermined(
    measured: Measured, left: Sequence[Unknown], ways: Sequence[Sequence[str]], because: str = ""
) -> InputError:
    """Give the error for values ``left`` open; of each of ``ways`` one reading would do."""
    names = listed([unknown.name for unknown in left], "and")
    made = {made.entry.name for made in measured.patterns}
    found = []
    if ways:
        found.append(f"measure {'; and '.join(listed(each, 'or') for each in ways)}")
    missing = dict.fromkeys(each.pattern for each in left if each.pattern not in made)
    if missing:
        patterns = listed([f"'{name}'" for name in missing], "and")
        found.append(f"make and measure the pattern {patterns}")
    elif not ways:
        more = listed([f"'{each}'" for each in dict.fromkeys(u.pattern for u in left)], "and")
        found.append(f"measure more of the pattern {more}")
    holds = " ".join(f"--hold {unknown.name}" for unknown in left)
    found.append(f"keep what the profile says: {holds}")
    told = ", or ".join(found)
    message = f"{because}these readings do not settle {names}"
    return InputError(message, Source(file=measured.file), f"{told[0].upper()}{told[1:]}.")


def inconsistent(
    measured: Measured, scatter: float, worst: Sequence[tuple[str, float]]
) -> FitError:
    """Give the error for readings that contradict each other, no one of them to blame.

    ``worst`` names those furthest from the rest, and how far, mm.
    """
    furthest = listed([f"{name} ({off:+.2f} mm)" for name, off in worst], "and")
    return FitError(
        f"the readings contradict each other: they scatter {scatter:.1f} times as wide as their "
        "uncertainties say, and no single one explains it",
        Source(file=measured.file),
        f"Furthest from the rest are {furthest}. Measure these again, twice each; or write the "
        "uncertainty that your rule and your eye really have.",
    )


def undecided(measured: Measured, found: Sequence[Sequence[Misread]]) -> FitError:
    """Give the error where any one of several readings may be the wrong one."""
    told = [
        " and ".join(
            f"{each.name} (read {each.mm:.2f} mm; by the others {each.expected:.2f} mm"
            f"{', ' + each.slip if each.slip else ''})"
            for each in group
        )
        for group in found
    ]
    lines = "\n".join(f"  {words}" for words in told)
    return FitError(
        "one reading does not fit the rest, but the numbers do not tell which. "
        f"It may be:\n{lines}",
        Source(file=measured.file),
        "Measure these again.",
    )


def out_of_limits(
    measured: Measured, unknown: Unknown, value: float, used: Sequence[Observation], told: Values
) -> FitError:
    """Give the error for a value that no machine has."""
    unit = _UNITS[unknown.kind]
    least, most = (in_written_unit(end, unknown.kind) for end in (unknown.least, unknown.most))
    side = f"below {least:g}{unit}" if value < unknown.least else f"above {most:g}{unit}"
    about = [each for each in used if unknown.name in each.about]
    slips = [
        f"{each.name}: {slip}."
        for each in about
        if each.reading is not None
        and unknown.kind is not Kind.LENGTH
        and (
            slip := likely_slip(
                each.mm,
                each.reading.digits,
                each.reading.unit_mm,
                each.model(told),
                _USUAL * abs(each.model(told)) + 3 * each.sigma,
            )
        )
    ]
    names = ", ".join(each.name for each in about)
    hint = " ".join(slips) or f"Look at {names}: is a sign turned, or the unit another?"
    return FitError(
        f"by these readings {unknown.name} is {side}, which cannot be",
        Source(file=measured.file),
        hint,
    )
