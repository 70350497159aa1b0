"""What slip of the hand makes one number into another."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

_RULE_STEPS = (1.0, 5.0, 10.0, 50.0, 100.0)


def likely_slip(mm: float, digits: str, unit_mm: float, expected: float, doubt: float) -> str:
    """Say what slip turns ``expected`` (mm, within ``doubt``) into ``mm``; "" when none does.

    ``digits`` is the number as it was written, ``unit_mm`` the mm in one of its unit. A slip counts
    when undoing it lands within ``doubt`` of what was expected, and goes so far that chance hardly
    makes it look so.
    """
    for undone, words in _slips(mm, digits, unit_mm, expected):
        if abs(undone - expected) <= doubt < abs(undone - mm) / 2:
            return words
    return ""


def _slips(mm: float, digits: str, unit_mm: float, expected: float) -> Iterator[tuple[float, str]]:
    yield -mm, "its sign is turned"
    yield from _swapped_digits(digits, unit_mm)
    yield mm * 25.4, "it was read in inches and written as millimetres"
    yield mm / 25.4, "it was read in millimetres and written as inches"
    yield mm * 10, "it was read in centimetres and written as millimetres, or the point slipped"
    yield mm / 10, "it was read in millimetres and written as centimetres, or the point slipped"
    for step in _RULE_STEPS:
        side = "more" if mm > expected else "less"
        away = -step if mm > expected else step
        yield mm + away, f"it is just {step:g} mm {side}: a line of the rule miscounted"
    yield from _wrong_digit(digits, unit_mm)


def _swapped_digits(digits: str, unit_mm: float) -> Iterator[tuple[float, str]]:
    places = [index for index, letter in enumerate(digits) if letter.isdigit()]
    for first, second in pairwise(places):
        letters = list(digits)
        letters[first], letters[second] = letters[second], letters[first]
        other = "".join(letters)
        if other != digits:
            yield float(other) * unit_mm, f"two digits are swapped ({digits} for {other})"


def _wrong_digit(digits: str, unit_mm: float) -> Iterator[tuple[float, str]]:
    for index, letter in enumerate(digits):
        for right in "0123456789" if letter.isdigit() else "":
            if right != letter:
                other = digits[:index] + right + digits[index + 1 :]
                words = f"one digit is wrong ({digits} for {other})"
                yield float(other) * unit_mm, words
