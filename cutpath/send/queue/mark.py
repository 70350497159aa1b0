"""Where a sender stands, in a small file that outlives its process.

A byte's place is written here before and after the byte leaves, without waiting for the disk: what
a process wrote stays when it is killed. A loss of power may take it; then the window in the
database tells, which waited for the disk.
"""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from pathlib import Path

_FORM = struct.Struct("<8sqqqq")
_SUM = struct.Struct("<I")
_MAGIC = b"cutpath1"


@dataclass(frozen=True, slots=True)
class Mark:
    """Of one sending: bytes that ``may`` have left, were surely ``sent``, were ``confirmed``."""

    sending: int
    may: int
    sent: int
    confirmed: int


class MarkFile:
    """The mark of one lane, written by its sender."""

    def __init__(self, path: Path) -> None:
        self._file = path.open("r+b" if path.exists() else "w+b", buffering=0)

    def write(self, mark: Mark) -> None:
        """Set the mark down. After this returns a kill cannot take it back."""
        body = _FORM.pack(_MAGIC, mark.sending, mark.may, mark.sent, mark.confirmed)
        self._file.seek(0)
        self._file.write(body + _SUM.pack(zlib.crc32(body)))

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()


def read_mark(path: Path) -> Mark | None:
    """Give the mark that stands in the file; None where there is none, or not a whole one."""
    try:
        data = path.read_bytes()
    except OSError:
        return None
    body, rest = data[: _FORM.size], data[_FORM.size :]
    if len(body) < _FORM.size or rest != _SUM.pack(zlib.crc32(body)):
        return None
    magic, sending, may, sent, confirmed = _FORM.unpack(body)
    return Mark(sending, may, sent, confirmed) if magic == _MAGIC else None
