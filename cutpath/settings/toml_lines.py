"""On which line of a TOML text each key stands: tomllib gives values without places.

The text has already been read by tomllib, so that the scanner may trust its grammar
(TOML 1.0, https://toml.io/en/v1.0.0).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

KeyPath = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_LONG_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}'  # up to two quotes may stand before the closing three
    r"|'''.*?'{3,5}",
    re.DOTALL,
)
_SHORT_STRING = re.compile(r"\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'")
_BARE_VALUE = re.compile(r"[^,\]}\n#]*")


@lru_cache(maxsize=4)
def key_lines(text: str) -> Mapping[KeyPath, int]:
    """Give the line, from 1, of every table, key and array member of a valid TOML text.

    The last few texts are remembered: places are asked for one by one, hundreds in a large job.
    """
    return MappingProxyType(_Scanner(text).scan())


def line_of(text: str, path: KeyPath) -> int | None:
    """Give the line of ``path``, or of the nearest thing around it; None when nothing is there."""
    lines = key_lines(text)
    beginnings = (path[:size] for size in range(len(path), 0, -1))
    return next((lines[part] for part in beginnings if part in lines), None)


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.found: dict[KeyPath, int] = {}
        self.counts: dict[KeyPath, int] = {}  # arrays of tables: how many so far
        self.counted_to = 0
        self.line = 1

    def scan(self) -> dict[KeyPath, int]:
        table: KeyPath = ()
        while self._skip_blank():
            if self._take("[["):
                table = self._header(is_array=True)
            elif self._take("["):
                table = self._header(is_array=False)
            else:
                self._pair(table)
        return self.found

    def _header(self, *, is_array: bool) -> KeyPath:
        line = self._line_here()
        words = self._key()
        self._take("]]" if is_array else "]")
        path: KeyPath = ()
        for number, word in enumerate(words):
            path += (word,)
            self.found.setdefault(path, line)
            if is_array and number == len(words) - 1:
                self.counts[path] = self.counts.get(path, 0) + 1
            if path in self.counts:
                path += (self.counts[path] - 1,)
        self.found[path] = line
        return path

    def _pair(self, table: KeyPath) -> None:
        line = self._line_here()
        path = table
        for word in self._key():
            path += (word,)
            self.found.setdefault(path, line)
        self._skip_blank()
        self._take("=")
        self._value(path)

    def _value(self, path: KeyPath) -> None:
        self._skip_blank()
        self.found.setdefault(path, self._line_here())
        if self._take("["):
            number = 0
            while self._more("]"):
                self._value((*path, number))
                number += 1
        elif self._take("{"):
            while self._more("}"):
                self._pair(path)
        else:
            self._step(_LONG_STRING) or self._step(_SHORT_STRING) or self._step(_BARE_VALUE)

    def _more(self, closing: str) -> bool:
        """Step over a comma; tell whether another member follows."""
        self._skip_blank()
        self._take(",")
        return self._skip_blank() and not self._take(closing)

    def _key(self) -> list[str]:
        words = []
        while True:
            self._skip_blank()
            quoted = self._step(_SHORT_STRING)
            words.append(_unquoted(quoted) if quoted else self._step(_BARE_KEY))
            self._skip_blank()
            if not self._take("."):
                return words

    def _step(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            return ""
        self.at = match.end()
        return match[0]

    def _skip_blank(self) -> bool:
        """Step over blanks, line ends and comments; tell whether anything is left."""
        self._step(_BLANK)
        return self.at < len(self.text)

    def _take(self, word: str) -> bool:
        if not self.text.startswith(word, self.at):
            return False
        self.at += len(word)
        return True

    def _line_here(self) -> int:
        self.line += self.text.count("\n", self.counted_to, self.at)
        self.counted_to = self.at
        return self.line


def _unquoted(word: str) -> str:
    return str(tomllib.loads(f"key = {word}")["key"])
