"""A machine file as lines of text, and how many of them each move makes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from cutpath.geometry.points import Ints, locked


@dataclass(frozen=True, slots=True, eq=False)
class ProgramText:
    """The ``lines`` of n moves, each to be followed by ``ending``.

    ``before`` are n + 1 counts: of the lines before each move, and before what comes after them.
    Every character is one byte.
    """

    lines: list[str]
    before: list[int]
    ending: str

    def data(self) -> bytes:
        """Give the file."""
        ending = self.ending
        return "".join(line + ending for line in self.lines).encode("latin-1")

    def joints(self) -> Ints:
        """Give how many bytes come before each move, and before what comes after them, (n + 1,)."""
        lengths = np.fromiter(accumulate(map(len, self.lines), initial=0), dtype=np.int64)
        counts = np.array(self.before, dtype=np.int64)
        return locked(lengths[counts] + counts * len(self.ending))
