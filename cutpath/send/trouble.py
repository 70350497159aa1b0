"""What can be wrong with a machine at work, as values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Trouble(StrEnum):
    """What kind of trouble it is."""

    LOST = "link lost"
    SILENT = "no answer"
    STALLED = "takes no more"
    REFUSED = "refused"
    LOCKED = "locked"
    RESTARTED = "restarted"
    OVERRUN = "overrun"
    NOISE = "noise"


@dataclass(frozen=True, slots=True)
class MachineFault:
    """What the machine says, or fails to say, in plain words, and what to do about it.

    ``first`` and ``last`` bound the bytes [first, last) that it is about, where that is known.
    ``said`` is the machine's own wording.
    """

    trouble: Trouble
    words: str
    remedy: str
    said: str = ""
    first: int | None = None
    last: int | None = None
