"""What was found, in a technician's words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutpath.bench.fit.outcome import Fitted, Misread, Outcome
from cutpath.bench.fit.rounding import decimals_for
from cutpath.bench.fit.unknowns import Kind

_FAR = 1000.0
"""mm that a scale or a lean is told over."""


def outcome_lines(outcome: Outcome) -> list[str]:
    """Give the whole report, line by line."""
    lines = [_misread_line(each) for each in outcome.misread]
    lines += [value_line(each) for each in outcome.fitted]
    lines += [each.words for each in outcome.settings]
    lines += list(outcome.notes)
    lines += [f"{name} stays as the profile has it, as you asked." for name in outcome.held]
    lines += list(_agreement(outcome))
    return lines


def value_line(each: Fitted) -> str:
    """Say how a value differs from what the profile has, with ± twice its standard uncertainty."""
    if not each.changes:
        return f"{_subject(each)} stays: {_as_it_is(each)}."
    return _LINES[each.unknown.kind](each)


def _angle_line(each: Fitted) -> str:
    lean, sigma = math.degrees(each.written - each.unknown.told), math.degrees(each.sigma)
    side = "towards" if lean > 0 else "away from"
    off = abs(math.sin(each.written) - math.sin(each.unknown.told)) * _FAR
    return (
        f"+y leans {_number(abs(lean), sigma)}° {side} +x (± {_doubt(sigma)}°): "
        f"{_FAR:g} mm along y it is {off:.2f} mm aside."
    )


def _length_line(each: Fitted) -> str:
    value = f"{_number(each.written, each.sigma)} mm (± {_doubt(each.sigma)} mm)"
    tool, _, word = each.unknown.name.rpartition(".")
    nothing = word == "diameter" and not each.unknown.told
    said = f"the profile says {'nothing' if nothing else f'{each.unknown.told:g} mm'}"
    if word.endswith("_backlash"):
        return f"{word[0]} has {value} of play; {said}."
    what = {
        "blade_offset": f"its tip trails by {value}",
        "diameter": f"it makes holes of {value}",
    }.get(word, f"it lands {value} along {word[-1]} beside the place told")
    return f"{tool}: {what}; {said}."


def _scale_line(each: Fitted) -> str:
    ratio = each.written / each.unknown.told
    sigma = each.sigma / each.unknown.told
    off = 100 * (ratio - 1)
    far = "too far" if off > 0 else "too short"
    is_cloth = each.unknown.name == "advance_scale"
    what = "the cloth advances" if is_cloth else f"{each.unknown.name[0]} goes"
    went = "came" if is_cloth else "went"
    return (
        f"{what} {_number(abs(off), 100 * sigma)} % {far} (± {_doubt(100 * sigma)} %): "
        f"told {_FAR:g} mm, it {went} {_number(_FAR * ratio, _FAR * sigma)} mm."
    )


def _subject(each: Fitted) -> str:
    return each.unknown.name.replace("_", " ").replace(".", "'s ")


def _as_it_is(each: Fitted) -> str:
    off, sigma = each.value - each.unknown.told, each.sigma
    if each.unknown.kind is Kind.SCALE:
        off, sigma, unit = 100 * off / each.unknown.told, 100 * sigma / each.unknown.told, " %"
    elif each.unknown.kind is Kind.ANGLE:
        off, sigma, unit = math.degrees(off), math.degrees(sigma), "°"
    else:
        unit = " mm"
    shown = _number(off, sigma)
    return f"measured {'' if off < 0 else '+'}{shown}{unit} against it (± {_doubt(sigma)}{unit})"


def _misread_line(each: Misread) -> str:
    digits = decimals_for(each.doubt / 2)
    place = f" (line {each.line})" if each.line is not None else ""
    slip = f" {each.slip[:1].upper()}{each.slip[1:]}?" if each.slip else ""
    return (
        f"{each.name}{place} does not fit the rest: it says {each.mm:.{digits}f} mm, the others "
        f"say {each.expected:.{digits}f} mm (± {each.doubt:.{digits}f} mm).{slip} It was left out; "
        "measure it again."
    )


def _agreement(outcome: Outcome) -> Iterator[str]:
    used = [row for row in outcome.rows if row.used]
    if not used:
        return
    if outcome.spare <= 0:
        yield (
            f"{len(used)} readings, none more than needed: nothing checks them. "
            "Measure some more, and a slip shows."
        )
        return
    worst = max(used, key=lambda row: abs(row.mm - row.expected) / row.sigma)
    yield (
        f"{len(used)} readings, {outcome.spare} more than needed, agree; furthest off is "
        f"{worst.name}, by {abs(worst.mm - worst.expected):.2f} mm (said to be good to "
        f"{worst.sigma:.2g} mm)."
    )
    yield "± is twice the standard uncertainty: 19 of 20 are within it."


def _number(value: float, sigma: float) -> str:
    return f"{value:.{decimals_for(sigma)}f}"


def _doubt(sigma: float) -> str:
    return _number(2 * sigma, sigma)


_LINES = {Kind.SCALE: _scale_line, Kind.ANGLE: _angle_line, Kind.LENGTH: _length_line}
