"""Values as a form holds them, and rows of values as a technician writes them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from cutpath.errors import CutpathError, InputError
from cutpath.units import parse_length


def length_text(mm: float) -> str:
    """Give ``mm`` as text with its unit, at most four decimals."""
    return f"{round(mm, 4) + 0.0:g} mm" if abs(mm) < 1e5 else f"{mm:.1f} mm"


def lengths(values: Sequence[float]) -> tuple[str, ...]:
    """Give every length as text."""
    return tuple(length_text(value) for value in values)


def parsed_lengths(text: str, least: float, most: float, words: str) -> tuple[float, ...]:
    """Read lengths between commas, "0 mm, 0.5 mm": two to twelve, all different, in order of size.

    Raises InputError for anything else; ``words`` say what they are.
    """
    found = []
    for part in _parts(text):
        try:
            found.append(parse_length(part))
        except CutpathError as error:
            raise InputError(f"--values: {error.message}", remedy=error.remedy) from error
    return _sound(found, least, most, words, "mm")


def parsed_numbers(text: str, least: float, most: float, words: str) -> tuple[float, ...]:
    """Read plain numbers between commas, like ``parsed_lengths``."""
    found = []
    for part in _parts(text):
        match = re.fullmatch(r"\d+(?:\.\d+)?", part)
        if match is None:
            raise InputError(
                f"--values: '{part}' is not a number", remedy="Write them like 100,200,300."
            )
        found.append(float(part))
    return _sound(found, least, most, words, "")


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _sound(
    found: list[float], least: float, most: float, words: str, unit: str
) -> tuple[float, ...]:
    ordered = sorted(set(found))
    if not 2 <= len(ordered) <= 12 or len(ordered) != len(found):
        raise InputError(
            f"--values: {words} are 2 to 12 different numbers", remedy="Write them with commas."
        )
    if ordered[0] < least or ordered[-1] > most:
        raise InputError(
            f"--values: {words} lie between {least:g} and {most:g} {unit}".rstrip(),
            remedy=f"You wrote {ordered[0]:g} to {ordered[-1]:g} {unit}".rstrip() + ".",
        )
    return tuple(ordered)
