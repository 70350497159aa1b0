"""Splits RS274/NGC text into lines of words (NISTIR 6556, The NIST RS274NGC Interpreter, 3.3)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from cutpath.replay.view import View, refuse_at

_WORD = re.compile(r"([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))")
_LINE_NUMBER = re.compile(r"N(\d+)(?![\d.])")
_WHOLE = 1e-4  # how near to an integer an index must be (3.3.2.1)
_MOST_M = 4


@dataclass(slots=True)
class Block:
    """One line's words: G codes in tenths (G61.1 is 611), M codes, and the other letters."""

    line: int
    g: list[int] = field(default_factory=list)
    m: list[int] = field(default_factory=list)
    words: dict[str, float] = field(default_factory=dict)

    def has(self, letters: str) -> bool:
        """Tell whether any of ``letters`` stands on the line."""
        return any(letter in self.words for letter in letters)


def blocks(data: bytes, view: View) -> Iterator[Block]:
    """Give each line that holds words.

    A first line of ``%`` asks for a last one, and what follows that is not read. Raises InputError,
    with the line, for what the language does not allow.
    """
    in_percent = False
    seen = False
    for number, raw in enumerate(re.split(rb"\r\n|\n|\r", data), start=1):
        try:
            text = raw.decode("ascii")
        except UnicodeDecodeError:
            refuse_at("a byte beyond ASCII", number)
        if len(text) > view.line_limit:
            refuse_at(f"a line of {len(text)} characters, at most {view.line_limit}", number)
        bare = _without_comments(text, number, view)
        if bare == "%":
            if in_percent:
                return
            if seen:
                refuse_at("% stands on the first and the last line only", number)
            in_percent = seen = True
        elif bare:
            seen = True
            yield _parsed(bare, number)
    if in_percent:
        refuse_at("the file begins with % and does not end with it", number)


def _without_comments(text: str, line: int, view: View) -> str:
    kept = []
    in_comment = False
    for character in text:
        if in_comment:
            if character == "(":
                refuse_at("a comment inside a comment", line)
            in_comment = character != ")"
        elif character == "(":
            in_comment = True
        elif character == ";" and view.semicolons:
            break
        elif character not in " \t":
            kept.append(character.upper())
    if in_comment:
        refuse_at("a comment is not closed on its line", line)
    return "".join(kept)


def _parsed(bare: str, line: int) -> Block:
    if bare.startswith("/"):
        refuse_at("a line that a switch on the machine may leave out ('/')", line)
    at = 0
    if bare.startswith("N"):
        match = _LINE_NUMBER.match(bare)
        if match is None or len(match[1]) > 5:
            refuse_at("N takes a whole number of at most 5 digits", line)
        at = match.end()
    block = Block(line)
    while at < len(bare):
        match = _WORD.match(bare, at)
        if match is None:
            refuse_at(f"'{bare[at : at + 12]}' is no word of a letter and a number", line)
        _put(block, match[1], float(match[2]))
        at = match.end()
    if len(block.m) > _MOST_M:
        refuse_at(f"more than {_MOST_M} M words", line)
    return block


def _put(block: Block, letter: str, value: float) -> None:
    if letter == "G":
        block.g.append(whole(value * 10, "G", block.line))
    elif letter == "M":
        block.m.append(whole(value, "M", block.line))
    elif letter in block.words or letter == "N":
        refuse_at(f"{letter} stands twice on the line or where it must not", block.line)
    else:
        block.words[letter] = value


def whole(value: float, letter: str, line: int) -> int:
    """Give an index as an integer. Raises InputError when it is not near one, or negative."""
    nearest = round(value)
    if abs(value - nearest) > _WHOLE or nearest < 0:
        refuse_at(f"{letter} takes a whole number that is not negative", line)
    return nearest
