"""Two things that a profile says against each other."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two things that a profile says against each other: the key, what is wrong, the mend."""

    key: str
    message: str
    remedy: str
