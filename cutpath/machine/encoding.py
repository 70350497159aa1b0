"""HP-GL/2's polyline encoding of whole numbers.

Source: HP, "PCL 5 Printer Language Technical Reference Manual, Part II", PE, pages 20-34 to 20-43:
the sign is the lowest bit, digits come least significant first, and the last digit of a number is
told from the others by its range of bytes.
"""

from __future__ import annotations

from functools import lru_cache

_FIRST = 63
"""Byte of the digit 0 that does not end its number."""
_LAST = {64: 191, 32: 95}
"""Byte of the digit 0 that ends its number, by base."""

ABSOLUTE = "="
PEN_UP = "<"
FRACTION = ">"
SEVEN_BIT = "7"


@lru_cache(maxsize=1 << 16)
def encoded(value: int, base: int) -> str:
    """Give ``value`` in ``base`` 64 or 32, a character for each byte (Latin-1)."""
    rest = 2 * value if value >= 0 else 1 - 2 * value
    out = ""
    while rest >= base:
        rest, digit = divmod(rest, base)
        out += chr(_FIRST + digit)
    return out + chr(_LAST[base] + rest)
