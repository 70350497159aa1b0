"""The form to write measured numbers into, as TOML: one part for each pattern."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from cutpath.bench.form_values import length_text
from cutpath.bench.pattern_model import FormValue, Gauge, Pattern
from cutpath.errors import InputError, Source

NAME = "measured.toml"
_PART = "[[pattern]]"
_WIDTH = 26


def new_form(machine: str, digest: str) -> str:
    """Give the head of a form for the profile that was called ``machine``."""
    return (
        '# Write each measured length between its quotes, with its unit and sign: "-0.35 mm".\n'
        "# What you leave empty counts as not measured. Then: cutpath profile fit\n"
        f"profile = {_quoted(machine)}\n"
        f"digest = {_quoted(digest)}  # of that profile; leave it\n"
    )


def part_of(pattern: Pattern) -> str:
    """Give the form's part for one pattern."""
    lines = [_PART, f"name = {_quoted(pattern.name)}  # {pattern.title.lower()}"]
    lines += [f"{key} = {_value(value)}" for key, value in pattern.settings.items()]
    if pattern.uncertainty:
        usual = _quoted(length_text(pattern.uncertainty))
        lines.append(f"uncertainty = {usual}  # of one reading; write what you trust")
    tools = list(dict.fromkeys(gauge.tool for gauge in pattern.gauges))
    lines.append("[pattern.told]  # what the machine was told; leave it")
    for tool in tools:
        told = [gauge for gauge in pattern.gauges if gauge.tool == tool and gauge.told is not None]
        lines += _table("told", tool)
        lines += [f"{gauge.key} = {_quoted(length_text(gauge.told or 0.0))}" for gauge in told]
    lines.append("[pattern.readings]")
    for tool in tools:
        lines += _table("readings", tool)
        lines += [_reading(gauge) for gauge in pattern.gauges if gauge.tool == tool]
    return "\n".join(lines) + "\n"


def with_part(form: str, pattern: Pattern, machine: str, digest: str, file: str) -> str:
    """Give ``form`` (the text of one that exists, "" for none) with the part for ``pattern``.

    Readings that are filled in are never written over. Raises InputError for a form that cannot be
    read, that belongs to another profile, or that holds this pattern made otherwise and measured.
    """
    part = part_of(pattern)
    if not form.strip():
        return f"{new_form(machine, digest)}\n{part}"
    said = _read(form, file)
    if said.get("digest") != digest:
        raise InputError(
            "this form belongs to another profile, or to this one before it was changed",
            Source(file=file, key="digest"),
            "Choose another folder with --out, or take the form away.",
        )
    head, *parts = _split(form)
    kept = []
    found = False
    for old in parts:
        told = _read(old, file)["pattern"][0]
        if told.get("name") != pattern.name:
            kept.append(old)
            continue
        found = True
        kept.append(_newer(old, told, part, file))
    if not found:
        kept.append(part)
    return "\n".join(text.rstrip("\n") + "\n" for text in (head, *kept))


def _newer(old: str, told: dict[str, object], part: str, file: str) -> str:
    """Give the old part where it is of the same pattern, the new one where nothing is filled in."""
    new = tomllib.loads(part)["pattern"][0]
    same = all(told.get(key) == value for key, value in new.items() if key not in _FREE)
    if same:
        return old
    if _is_filled(told.get("readings")):
        raise InputError(
            f"the pattern '{new['name']}' was measured here, and is now made otherwise",
            Source(file=file, key="pattern.readings"),
            "Choose another folder with --out, or empty its readings.",
        )
    return part


_FREE = {"readings", "uncertainty", "uncertainties"}
"""What the technician may write."""


def _is_filled(readings: object) -> bool:
    if isinstance(readings, dict):
        return any(_is_filled(value) for value in readings.values())
    return readings not in {None, ""}


def _read(text: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            f"this form cannot be read: {error}", Source(file=file),
            "Mend that line, or take the form away.",
        ) from error  # fmt: skip


def _split(form: str) -> Sequence[str]:
    starts = [match.start() for match in re.finditer(r"^\[\[pattern\]\]", form, re.MULTILINE)]
    bounds = [0, *starts, len(form)]
    return [form[a:b] for a, b in pairwise(bounds)]


def _table(name: str, tool: str) -> list[str]:
    return [f"[pattern.{name}.{_key(tool)}]"] if tool else []


def _reading(gauge: Gauge) -> str:
    told = "" if not gauge.told else f", told {length_text(gauge.told)}"
    blank = f'{_key(gauge.key)} = ""'
    return f"{blank:{_WIDTH}}# {gauge.letter}: {gauge.words}{told}"


def _value(value: FormValue) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(_value(each) for each in value)}]"
    return _quoted(value) if isinstance(value, str) else f"{value:g}"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _quoted(name)
