"""Splits HP-GL bytes into instructions (HP, PCL 5 Technical Reference II, pp. 17-7 to 17-11).

Two letters, parameters parted by comma, space or a sign, closed by ``;``, white space or the next
mnemonic. PE runs to ``;``, LB to the terminator set by DT, quoted text to its quote. Device control
(``ESC . letter … :``) and the switches into and out of the language (``ESC % n A/B``, ``ESC E``)
belong to the wire and the printer, and move nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from cutpath.replay.view import refuse_at

_GAP = re.compile(rb"[\s;]+")
_CONTROL = re.compile(
    rb"\x1b(?:\.[@HIMNTS](?:[-\d;\s]*:)?|\.P\d?:|\.[A-Z()](?::)?|%-?\d*[ABX]|E)", re.DOTALL
)
_MNEMONIC = re.compile(rb"[A-Za-z]{2}")
_NUMBERS = re.compile(rb"[-+.,\d\s]*")
_NUMBER = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)")
_PARTING = re.compile(rb"[\s,]*")
_ETX = b"\x03"


@dataclass(frozen=True, slots=True)
class Instruction:
    """One instruction: its two letters, its numbers, the raw bytes of PE, and its byte offset."""

    name: str
    numbers: tuple[float, ...]
    raw: bytes
    offset: int


def instructions(data: bytes) -> Iterator[Instruction]:
    """Give each instruction of ``data`` in order.

    Raises InputError, with the byte offset, where the bytes are not the language.
    """
    at, terminator = 0, _ETX
    while True:
        at = _past_gaps(data, at)
        if at >= len(data):
            return
        match = _MNEMONIC.match(data, at)
        if match is None:
            shown = data[at : at + 8].decode("latin-1")
            refuse_at(f"'{shown!s}' is no HP-GL instruction", f"byte {at}")
        name, body = match[0].decode("ascii").upper(), match.end()
        if name == "DT":
            terminator, end = _label_end(data, body)
            found = Instruction(name, (), terminator, at)
        elif name in ("LB", "PE"):
            end = data.find(b";" if name == "PE" else terminator, body)
            if end < 0:
                refuse_at(f"{name} is never closed", f"byte {at}")
            found = Instruction(name, (), data[body:end], at)
            end += 1
        elif name in ("CO", "BP"):
            found, end = Instruction(name, (), b"", at), _past_quoted(data, body)
        else:
            end = _numbers_end(data, body)
            found = Instruction(name, _numbers(data, body, end), b"", at)
        yield found
        at = end


def _past_gaps(data: bytes, at: int) -> int:
    while True:
        match = _GAP.match(data, at) or _CONTROL.match(data, at)
        if match is None:
            return at
        at = match.end()


def _numbers_end(data: bytes, body: int) -> int:
    match = _NUMBERS.match(data, body)
    return match.end() if match else body


def _label_end(data: bytes, body: int) -> tuple[bytes, int]:
    """Read DT's character; none, or ``;``, brings ETX back."""
    character = data[body : body + 1]
    if character in (b"", b";"):
        return _ETX, body
    end = _numbers_end(data, body + 1) if data[body + 1 : body + 2] == b"," else body + 1
    return character, end


def _past_quoted(data: bytes, body: int) -> int:
    end = body
    in_quotes = False
    while end < len(data) and (in_quotes or data[end : end + 1] != b";"):
        in_quotes ^= data[end : end + 1] == b'"'
        end += 1
    return end


def _numbers(data: bytes, start: int, end: int) -> tuple[float, ...]:
    found: list[float] = []
    at = start
    while True:
        parting = _PARTING.match(data, at, end)
        at = parting.end() if parting else at
        if at >= end:
            return tuple(found)
        match = _NUMBER.match(data, at, end)
        if match is None:
            refuse_at(f"'{data[at:end].decode('latin-1')}' is not a number", f"byte {at}")
        found.append(float(match[0]))
        at = match.end()
