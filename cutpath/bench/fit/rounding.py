"""Numbers to as many digits as their uncertainty supports."""

from __future__ import annotations

import math

from cutpath.bench.fit.unknowns import Kind

_MOST_DECIMALS = 8


def decimals_for(sigma: float) -> int:
    """Give the decimals of a number so uncertain: two digits of twice ``sigma`` (GUM, 7.2.6)."""
    if sigma <= 0:
        return _MOST_DECIMALS
    return min(max(1 - math.floor(math.log10(2 * sigma)), 0), _MOST_DECIMALS)


def in_written_unit(value: float, kind: Kind) -> float:
    """Give a value in the unit that profiles are written in: angles in degrees."""
    return math.degrees(value) if kind is Kind.ANGLE else value


def rounded(value: float, sigma: float, kind: Kind) -> float:
    """Give ``value`` as it is written with the digits that ``sigma`` supports."""
    if kind is Kind.ANGLE:
        return math.radians(round(math.degrees(value), decimals_for(math.degrees(sigma))))
    return round(value, decimals_for(sigma)) + 0.0


def toml_text(value: float, sigma: float, kind: Kind) -> str:
    """Give ``value`` as TOML, with its unit where profiles have one."""
    shown = in_written_unit(value, kind)
    decimals = decimals_for(in_written_unit(sigma, kind))
    text = f"{round(shown, decimals) + 0.0:.{decimals}f}"
    if kind is Kind.SCALE:
        return text if "." in text else text + ".0"
    return f'"{text} {"deg" if kind is Kind.ANGLE else "mm"}"'
