"""On which line of a JSON text the value at a path begins."""

from __future__ import annotations

import json
import re
from json.decoder import scanstring  # type: ignore[attr-defined]

from cutpath.settings.toml_lines import KeyPath

_SPACE = re.compile(r"[ \t\r\n]*")
_PLAIN = re.compile(r"[^,\]}\s]+")


def line_of_json(text: str, path: KeyPath) -> int | None:
    """Give the line, from 1, of the key or list member at ``path``, or of the nearest one above.

    None for text that is not JSON.
    """
    try:
        json.loads(text)
    except ValueError:
        return None
    found = _Scan(text, path)
    found.value(0, 0, matches=True)
    return text.count("\n", 0, found.place) + 1


class _Scan:
    """One walk through valid JSON; ``place`` is where the longest known part of the path begins."""

    def __init__(self, text: str, path: KeyPath) -> None:
        self.text, self.path, self.place, self.depth = text, path, 0, 0

    def value(self, at: int, depth: int, *, matches: bool) -> int:
        """Walk over one value; give where it ends."""
        at = self._space(at)
        sign = self.text[at]
        if sign in "{[":
            return self._members(at, depth, matches=matches)
        if sign == '"':
            return int(scanstring(self.text, at + 1, True)[1])
        match = _PLAIN.match(self.text, at)
        assert match is not None
        return match.end()

    def _members(self, at: int, depth: int, *, matches: bool) -> int:
        is_table, at, number = self.text[at] == "{", self._space(at + 1), 0
        while self.text[at] not in "}]":
            begins, key = at, number
            if is_table:
                key, at = scanstring(self.text, at + 1, True)
                at = self._space(at) + 1  # the colon
            mine = matches and depth < len(self.path) and self.path[depth] == key
            if mine and depth >= self.depth:
                self.place, self.depth = begins, depth + 1
            at = self._space(self.value(at, depth + 1, matches=mine))
            if self.text[at] == ",":
                at = self._space(at + 1)
            number += 1
        return at + 1

    def _space(self, at: int) -> int:
        match = _SPACE.match(self.text, at)
        assert match is not None
        return match.end()
