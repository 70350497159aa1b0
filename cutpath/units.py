"""Lengths as people write them, to millimetres and back.

Factors are exact: 1 in = 25.4 mm (international yard and pound agreement of 1959).
"""

from __future__ import annotations

import math
import re

from cutpath.errors import InputError

MM_PER: dict[str, float] = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "ft": 304.8,
    "yd": 914.4,
}
_ALIASES = {
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "metre": "m", "metres": "m", "meter": "m",
    "inch": "in", "inches": "in", '"': "in", "″": "in", "foot": "ft", "feet": "ft", "'": "ft",
    "yard": "yd", "yards": "yd",
}  # fmt: skip
_LONGEST = 1e6
"""Longer than any cloth, mm: such a length is a slip, and the geometry need not carry it."""
_LENGTH = re.compile(
    r"""\s*(?P<sign>[+-]?)\s*
        (?:(?P<whole>\d+)[\s-]+(?P<num2>\d+)\s*/\s*(?P<den2>\d+)   # 1 1/2 or 1-1/2
         |(?P<num>\d+)\s*/\s*(?P<den>\d+)                         # 1/2
         |(?P<decimal>\d+(?:\.\d*)?|\.\d+))                       # 12.7
        \s*(?P<unit>[a-zA-Z"″']*)\s*""",
    re.VERBOSE,
)


def unit_factor(name: str) -> float:
    """Give the millimetres in one ``name``.

    Raises InputError for a unit that is not known.
    """
    key = name.strip()
    key = _ALIASES.get(key.lower(), key.lower())
    if key not in MM_PER:
        raise InputError(f"unknown unit '{name}'", remedy=f"Use one of: {', '.join(MM_PER)}.")
    return MM_PER[key]


def parse_length(text: str | float, default_unit: str = "mm") -> float:
    """Give ``text`` ("12.7 mm", "1/2 in", "1 1/2in", 5) in millimetres; a bare number is mm.

    Raises InputError for anything that is not a finite length.
    """
    if isinstance(text, int | float) and not isinstance(text, bool):
        value = float(text) * unit_factor(default_unit)
    else:
        value = _parse_text(str(text), default_unit)
    if not math.isfinite(value):
        raise InputError(
            f"'{text}' is not a length", remedy='Write a number and a unit: "12.7 mm".'
        )
    if abs(value) > _LONGEST:
        raise InputError(
            f"'{text}' is longer than {_LONGEST / 1e6:g} km",
            remedy="Look at the number and its unit.",
        )
    return value


def _parse_text(text: str, default_unit: str) -> float:
    match = _LENGTH.fullmatch(text)
    if match is None:
        hint = "Write a decimal point, not a comma." if "," in text else ""
        raise InputError(
            f"'{text}' is not a length",
            remedy=f'{hint} Write a number and a unit, like "12.7 mm" or "1/2 in".'.strip(),
        )
    denominator = int(match["den2"] or match["den"] or 1)
    if denominator == 0:
        raise InputError(f"'{text}' divides by zero", remedy='Write it like "1/2 in".')
    if match["decimal"]:
        number = float(match["decimal"])
    else:
        number = int(match["whole"] or 0) + int(match["num2"] or match["num"]) / denominator
    if match["sign"] == "-":
        number = -number
    return number * unit_factor(match["unit"] or default_unit)


def format_length(mm: float, decimals: int = 1) -> str:
    """Give ``mm`` for people: ``12.7 mm``; metres from ten metres on."""
    if abs(mm) >= 10_000:
        return f"{mm / 1000:.2f} m"
    return f"{mm:.{decimals}f} mm"


def format_size(width: float, height: float) -> str:
    """Give a box for people in millimetres and inches: ``820 × 410 mm (32.3 × 16.1 in)``."""
    inches = f"{width / 25.4:.1f} × {height / 25.4:.1f} in"
    return f"{width:.0f} × {height:.0f} mm ({inches})"


def format_time(seconds: float) -> str:
    """Give a time as people say it: 48 s, 3 min 20 s, 1 h 5 min."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes, rest = divmod(whole, 60)
    return f"{minutes} min {rest} s" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"
