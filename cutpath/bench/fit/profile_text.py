"""The new profile: what extends the old one, with only the values that changed."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence

from cutpath.bench.fit.outcome import Fitted, Outcome
from cutpath.bench.fit.rounding import decimals_for, in_written_unit, toml_text
from cutpath.bench.fit.unknowns import Kind

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_UNITS = {Kind.SCALE: "", Kind.ANGLE: " deg", Kind.LENGTH: " mm"}
Key = tuple[str, ...]


def profile_text(outcome: Outcome, extends: str, name: str) -> str:
    """Give the TOML text of a profile that extends ``extends`` with what ``outcome`` changed."""
    lines = _lines(outcome)
    tables: dict[Key, list[str]] = {}
    for key, line in lines.items():
        tables.setdefault(key[:-1], []).append(line)
    out = [
        "# Tuned by measured test patterns. After each value: as measured, ± twice its standard",
        "# uncertainty (19 of 20), and the patterns that tell it.",
        f"extends = {_quoted(extends)}",
        f"name = {_quoted(name)}",
    ]
    for table, rows in tables.items():
        out += ["", f"[{'.'.join(_word(part) for part in table)}]", *rows]
    return "\n".join(out) + "\n"


def _lines(outcome: Outcome) -> Mapping[Key, str]:
    lines: dict[Key, str] = {}
    by_key: dict[Key, list[Fitted]] = {}
    for each in outcome.fitted:
        by_key.setdefault(each.unknown.key, []).append(each)
    for key, group in by_key.items():
        if any(each.changes for each in group):
            lines[key] = _line(key, group, outcome)
    for setting in outcome.settings:
        if setting.key:
            lines[setting.key] = f"{_word(setting.key[-1])} = {setting.text}  # as found best"
    return dict(sorted(lines.items(), key=lambda item: item[0][:-1]))


def _line(key: Key, group: Sequence[Fitted], outcome: Outcome) -> str:
    texts = [
        toml_text(each.written, each.sigma, each.unknown.kind)
        if each.changes
        else toml_text(each.written, 0.0, each.unknown.kind)
        for each in group
    ]
    value = f"[{', '.join(texts)}]" if key[-1] == "offset" else texts[0]
    told = ", ".join(_doubt(each) for each in group)
    patterns = dict.fromkeys(pattern for each in group for pattern in each.patterns)
    return f"{_word(key[-1])} = {value}  # ± {told}; {', '.join(patterns)}"


def _doubt(each: Fitted) -> str:
    sigma = in_written_unit(each.sigma, each.unknown.kind)
    return f"{2 * sigma:.{decimals_for(sigma)}f}{_UNITS[each.unknown.kind]}"


def _word(word: str) -> str:
    return word if _BARE.fullmatch(word) else _quoted(word)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
