"""The frozen values of sending: a machine file, and what its bytes do, stroke by stroke.

The bytes of a file fall into its preamble, one range a stroke, and its ending: they touch each
other, and no byte is left over. Times are seconds from the first byte on, as the machine's clock
estimates them.
"""

from __future__ import annotations

import hashlib
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from cutpath.model import Toolpath
from cutpath.settings.profile_schema import Profile


class Wish(StrEnum):
    """What the operator wants of a machine at work."""

    GO_ON = "go on"
    PAUSE = "pause"
    STOP = "stop"


@dataclass(frozen=True, slots=True, eq=False)
class RunStroke:
    """One toolpath and the bytes [``first``, ``last``) that make the machine do it.

    Its own change of tools, pause and travel are among them; they end with its last lift.
    ``tool`` is the profile's name of the tool, ``seconds`` the machine's time at its end.
    """

    toolpath: Toolpath
    tool: str
    first: int
    last: int
    seconds: float

    @property
    def words(self) -> str:
        """Give what it makes, in words: "outline of top"."""
        what, piece = self.toolpath.feature.value, self.toolpath.piece
        return f"{what} of {piece}" if piece else what


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """One machine file and all that its sender must know.

    ``name`` is the file's name, ``job`` that of the job it belongs to; ``machine`` the name that
    the profile was called by. ``seconds`` is the time of the whole file, its ending included.
    """

    name: str
    job: str
    machine: str
    profile: Profile
    cloth: str
    note: str
    pieces: tuple[str, ...]
    strokes: tuple[RunStroke, ...]
    seconds: float
    data: bytes

    @property
    def sha256(self) -> str:
        """Give the SHA-256 of the bytes, in hexadecimal."""
        return hashlib.sha256(self.data).hexdigest()

    @property
    def preamble(self) -> int:
        """Give how many bytes come before the first stroke's."""
        return self.strokes[0].first if self.strokes else len(self.data)

    @property
    def ending(self) -> int:
        """Give where the bytes after the last stroke begin."""
        return self.strokes[-1].last if self.strokes else len(self.data)

    def stroke_at(self, byte: int) -> int:
        """Give the number, from 0, of the stroke that ``byte`` belongs to.

        Below 0 for the preamble, the count of strokes for the ending.
        """
        if byte < self.preamble:
            return -1
        return bisect_right(self.strokes, byte, key=lambda stroke: stroke.last)

    def seconds_at(self, byte: int) -> float:
        """Give the machine's time when the bytes before ``byte`` are done, by even share."""
        number = self.stroke_at(byte)
        if number < 0:
            return 0.0
        if number >= len(self.strokes):
            first, last = self.ending, len(self.data)
            before, after = self.strokes[-1].seconds if self.strokes else 0.0, self.seconds
        else:
            stroke = self.strokes[number]
            first, last, after = stroke.first, stroke.last, stroke.seconds
            before = self.strokes[number - 1].seconds if number else 0.0
        share = (byte - first) / (last - first) if last > first else 1.0
        return before + min(share, 1.0) * (after - before)

    def strokes_of(self, piece: str) -> Iterator[int]:
        """Give the numbers of the strokes that serve ``piece``, in order."""
        return (number for number, each in enumerate(self.strokes) if each.toolpath.piece == piece)
