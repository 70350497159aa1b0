"""``measured.toml``: what a technician measured on a profile's test patterns.

profile = "gantry-rs274"      # the profile that the patterns were made with
digest = "…"                  # and its state then
[[pattern]]
name = "scale"
size = ["600 mm", "400 mm"]   # as it was made
uncertainty = "0.1 mm"        # of one reading
[pattern.readings]
near = "600.3 mm"             # "" is not measured
[pattern.uncertainties]       # where a reading is less sure than the others
far = "0.3 mm"
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from pydantic import Field

from cutpath.errors import InputError, Source
from cutpath.settings.measured_entries import ENTRIES, LengthPattern, PatternEntry, ToolsEntry
from cutpath.settings.quantities import Length, Size
from cutpath.settings.toml_file import (
    Settings,
    checked,
    dotted,
    line_of,
    nearest_word,
    parsed,
    read_text,
)
from cutpath.settings.toml_lines import KeyPath

M = TypeVar("M", bound="_Length | _Doubt")

_NUMBER = re.compile(r"\s*[+-]?[0-9.]+")


class _Head(Settings):
    profile: str
    digest: str = Field(min_length=8)
    pattern: tuple[dict[str, Any], ...] = Field(min_length=1)


class _Length(Settings):
    value: Length


class _Doubt(Settings):
    value: Size


_APART = ("readings", "uncertainties")
_NOT_MEASURED = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured length: mm, its standard uncertainty (mm), and how it was written.

    ``key`` is its name in the pattern (``near``, ``dx1``), ``tool`` the table it stands in where
    there is one for each tool; ``digits`` is the number as written, ``unit_mm`` what one of it is.
    """

    key: str
    tool: str
    mm: float
    uncertainty: float
    digits: str
    unit_mm: float
    source: Source


@dataclass(frozen=True, slots=True)
class Made:
    """One pattern as it was made, with the readings taken from it.

    ``words`` are readings that are no lengths; ``label`` tells it from others in the same file.
    """

    label: str
    entry: PatternEntry
    readings: tuple[Reading, ...]
    words: Mapping[str, str]
    source: Source


@dataclass(frozen=True, slots=True)
class Measured:
    """All of a measured file."""

    file: str
    profile: str
    digest: str
    patterns: tuple[Made, ...]

    def place(self, key: str) -> Source:
        """Give the source of a key at the top of the file."""
        return Source(file=self.file, key=key)


def read_measured(path: Path) -> Measured:
    """Read a measured file. Raises InputError for every mistake, with its line and key."""
    text = read_text(path)
    head = checked(parsed(text, path.name), text, path.name, _Head)
    file = _File(path.name, text)
    made = []
    seen: dict[str, int] = {}
    for number, table in enumerate(head.pattern):
        name = file.name_of(table, number)
        seen[name] = seen.get(name, 0) + 1
        label = name if seen[name] == 1 else f"{name} {seen[name]}"
        made.append(file.made(table, number, label))
    return Measured(path.name, head.profile, head.digest, tuple(made))


@dataclass(frozen=True, slots=True)
class _File:
    file: str
    text: str

    def place(self, *path: str | int) -> Source:
        return Source(file=self.file, line=line_of(self.text, path), key=dotted(path))

    def name_of(self, table: Mapping[str, Any], number: int) -> str:
        name = table.get("name")
        if name is None:
            raise InputError(
                "the key 'name' is missing",
                self.place("pattern", number),
                f"Add a line name = … with one of: {', '.join(ENTRIES)}.",
            )
        if not isinstance(name, str) or name not in ENTRIES:
            place = self.place("pattern", number, "name")
            raise InputError(f"'{name}' is no pattern", place, nearest_word(str(name), ENTRIES))
        return name

    def made(self, table: dict[str, Any], number: int, label: str) -> Made:
        at: KeyPath = ("pattern", number)
        entry = checked(
            {key: value for key, value in table.items() if key not in _APART},
            self.text,
            self.file,
            ENTRIES[table["name"]],
            lambda text, path: line_of(text, (*at, *path)),
        )
        given, doubts = (self._table(table, (*at, key)) for key in _APART)
        place = self.place(*at)
        if not isinstance(entry, LengthPattern):
            words = {key: self._word(key, value, entry, at) for key, value in given.items()}
            return Made(label, entry, (), {k: v for k, v in words.items() if v}, place)
        if not isinstance(entry, ToolsEntry):
            found = self._readings(given, doubts, entry, at, ())
            return Made(label, entry, tuple(found), {}, place)
        readings: list[Reading] = []
        for tool in given:
            rows, less_sure = (
                self._table(part, (*at, key, tool), tool)
                for key, part in zip(_APART, (given, doubts), strict=True)
            )
            readings += self._readings(rows, less_sure, entry, at, (tool,))
        return Made(label, entry, tuple(readings), {}, place)

    def _table(self, within: Mapping[str, Any], at: KeyPath, key: str = "") -> Mapping[str, Any]:
        """Give the table that stands at ``at``, of ``within``; one of no rows where it is not."""
        found = within.get(key or str(at[-1]), {})
        if not isinstance(found, dict):
            raise InputError(
                "must be a table", self.place(*at), f"Write [pattern.{dotted(at[2:])}] above it."
            )
        return found

    def _readings(
        self,
        given: Mapping[str, Any],
        doubts: Mapping[str, Any],
        entry: LengthPattern,
        at: KeyPath,
        tool: tuple[str, ...],
    ) -> Iterator[Reading]:
        surer = dict.fromkeys(given, entry.uncertainty)
        for key, value in doubts.items():
            place = (*at, "uncertainties", *tool)
            self._known(key, entry, place)
            surer[key] = self._checked(value, _Doubt, (*place, key)).value
        for key, value in given.items():
            source = self._known(key, entry, (*at, "readings", *tool))
            if value == _NOT_MEASURED:
                continue
            mm = self._checked(value, _Length, (*at, "readings", *tool, key)).value
            digits, unit_mm = _as_written(value, mm)
            yield Reading(key, "".join(tool), mm, surer[key], digits, unit_mm, source)

    def _checked(self, value: object, model: type[M], at: KeyPath) -> M:
        """Check one value as the ``value`` of a model."""
        try:
            return checked({"value": value}, self.text, self.file, model)
        except InputError as error:
            error.source = self.place(*at)
            raise

    def _known(self, key: str, entry: PatternEntry, at: KeyPath) -> Source:
        place = self.place(*at, key)
        if not entry.takes(key):
            message = f"this pattern has no reading '{key}'"
            raise InputError(message, place, nearest_word(key, entry.examples))
        return place

    def _word(self, key: str, value: object, entry: PatternEntry, at: KeyPath) -> str:
        place = self._known(key, entry, (*at, "readings"))
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise InputError(f"'{key}' must be text or a number", place, f'Write {key} = "…".')
        return str(value)


def _as_written(value: object, mm: float) -> tuple[str, float]:
    """Give the digits of a reading and the mm that one of them is; fractions have no digits."""
    match = _NUMBER.match(str(value))
    if match is None or "/" in str(value):
        return "", 1.0
    digits = match[0].strip()
    number = float(digits)
    return digits, mm / number if number else 1.0
