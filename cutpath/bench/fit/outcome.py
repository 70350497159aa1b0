"""What a fit gives: values with their uncertainty, what did not fit, what to set beside."""

from __future__ import annotations

from dataclasses import dataclass

from cutpath.bench.fit.unknowns import Unknown


@dataclass(frozen=True, slots=True)
class Fitted:
    """One value as measured, with its standard uncertainty, and as it goes into the profile.

    ``written`` is rounded to two digits of the uncertainty; it is the old value, and ``changes``
    False, where what was measured does not tell the two apart.
    """

    unknown: Unknown
    value: float
    sigma: float
    written: float
    changes: bool
    patterns: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A reading beside what the fitted values make of it, mm; ``used`` unless it was left out."""

    name: str
    mm: float
    sigma: float
    expected: float
    used: bool


@dataclass(frozen=True, slots=True)
class Misread:
    """A reading that does not fit the rest, mm, with what it should be and the likely slip."""

    name: str
    line: int | None
    mm: float
    expected: float
    doubt: float
    slip: str


@dataclass(frozen=True, slots=True)
class Setting:
    """A value taken as the technician found it best: its key and TOML text, and why.

    ``key`` is empty where there is nothing to write.
    """

    key: tuple[str, ...]
    text: str
    words: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """All that came out of a measured file.

    ``spare`` is how many readings there were more than needed; ``scatter`` how wide they scatter
    in terms of what was said of them.
    """

    fitted: tuple[Fitted, ...]
    rows: tuple[Row, ...]
    misread: tuple[Misread, ...]
    settings: tuple[Setting, ...]
    notes: tuple[str, ...]
    held: tuple[str, ...]
    spare: int
    scatter: float

    @property
    def changes(self) -> bool:
        """Whether the new profile says anything else than the old one."""
        return any(each.changes for each in self.fitted) or any(each.key for each in self.settings)
