"""Decodes the body of PE (HP, PCL 5 Technical Reference II, pp. 20-34 to 20-43).

Each value is a run of digits, least significant first, the last in a higher byte range; its lowest
bit is the sign. Flags stand between values and act on the next value or the next pair.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cutpath.replay.view import refuse_at

_FLAGS = {ord(":"), ord("<"), ord(">"), ord("="), ord("7")}
_MOST_FRACTION = 26


@dataclass(frozen=True, slots=True)
class Pair:
    """One pair: pen up or down, absolute or relative, in current units; ``offset`` in the body."""

    x: float
    y: float
    is_up: bool
    is_absolute: bool
    offset: int


@dataclass(frozen=True, slots=True)
class Pick:
    """A change of pen."""

    pen: int
    offset: int


class _Body:
    def __init__(self, raw: bytes, offset: int) -> None:
        self.raw, self.offset, self.at, self.base = raw, offset, 0, 64

    def flag(self) -> int | None:
        """Give the next flag, or None before a value or at the end."""
        while self.at < len(self.raw):
            byte = self.raw[self.at]
            # Flags count with the eighth bit set or not; no digit's low seven bits look like one.
            low = byte & 0x7F
            if low in _FLAGS:
                self.at += 1
                return low
            if not self._is_skipped(byte):
                return None
            self.at += 1
        return None

    @staticmethod
    def _is_skipped(byte: int) -> bool:
        return byte <= 32 or byte == 127 or 128 <= byte <= 160 or byte == 255

    def value(self) -> int:
        """Decode one value. Raises InputError where the bytes are no digits or run out."""
        total, weight = 0, 1
        while self.at < len(self.raw):
            byte = self.raw[self.at]
            self.at += 1
            if self._is_skipped(byte):
                continue
            digit, is_last = self._digit(byte)
            total += digit * weight
            weight *= self.base
            if is_last:
                return -(total >> 1) if total & 1 else total >> 1
        return refuse_at("PE ends in the middle of a value", f"byte {self.offset + self.at}")

    def _digit(self, byte: int) -> tuple[int, bool]:
        last = 191 if self.base == 64 else 95
        if self.base == 32:
            byte &= 0x7F
        if 63 <= byte < 63 + self.base:
            return byte - 63, False
        if last <= byte < last + self.base:
            return byte - last, True
        return refuse_at(
            f"byte {byte} is no digit of base {self.base} in PE",
            f"byte {self.offset + self.at - 1}",
        )


def decode(raw: bytes, offset: int = 0) -> Iterator[Pair | Pick]:
    """Give the pairs and pen changes of PE's body ``raw``, which begins at byte ``offset``.

    Raises InputError for a byte that is no digit, a half pair or too many fraction bits.
    """
    body = _Body(raw, offset)
    fraction, is_up, is_absolute = 0, False, False
    while True:
        flag = body.flag()
        at = body.at
        if flag is None and at >= len(raw):
            if is_up or is_absolute:
                refuse_at("PE ends after a flag that needs a pair", f"byte {offset + at}")
            return
        if flag is None:
            scale = 2.0**-fraction
            x = body.value()
            y = body.value()
            yield Pair(x * scale, y * scale, is_up, is_absolute, offset + at)
            is_up = is_absolute = False
        elif flag == ord("7"):
            body.base = 32
        elif flag == ord(":"):
            yield Pick(body.value(), offset + at)
        elif flag == ord(">"):
            fraction = body.value()
            if abs(fraction) > _MOST_FRACTION:
                refuse_at(f"{fraction} fraction bits in PE, at most 26", f"byte {offset + at}")
        else:
            is_up, is_absolute = is_up or flag == ord("<"), is_absolute or flag == ord("=")
