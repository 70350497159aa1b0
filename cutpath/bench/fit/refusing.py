"""Why a measured file gives no new profile, in words that say what to do."""

from __future__ import annotations

from collections.abc import Sequence

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
    measured: Measured, left: Sequence[Unknown], readings: Sequence[str], because: str = ""
) -> InputError:
    """Give the error for values that the readings leave open."""
    names = " and ".join(unknown.name for unknown in left)
    made = {made.entry.name for made in measured.patterns}
    ways = []
    if readings:
        ways.append(f"Measure {_either(readings)}")
    if left[0].pattern not in made:
        ways.append(f"Make and measure the pattern '{left[0].pattern}'")
    elif not readings:
        ways.append(f"Measure more of the pattern '{left[0].pattern}'")
    ways.append(f"or keep the profile's value: --hold {left[0].name}")
    start = because or ""
    message = f"{start}these readings do not settle {names}"
    return InputError(message, Source(file=measured.file), ", ".join(ways) + ".")


def inconsistent(measured: Measured, scatter: float) -> FitError:
    """Give the error for readings that contradict each other, no one of them to blame."""
    return FitError(
        f"the readings contradict each other: they scatter {scatter:.1f} times as wide as their "
        "uncertainties say, and no single one explains it",
        Source(file=measured.file),
        "Measure again, two of each; or write the uncertainty that your rule and your eye really "
        "have.",
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
    listed = "\n".join(f"  {words}" for words in told)
    return FitError(
        "one reading does not fit the rest, but the numbers do not tell which. "
        f"It may be:\n{listed}",
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


def _either(names: Sequence[str]) -> str:
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} or {names[-1]}"
