"""The few CSS properties that decide what is drawn and where: style attributes and style sheets.

Selectors of names, classes and ids, joined by descendant or child signs, cascade by their
specificity (CSS 2.1, section 6.4). Rules with other selectors are left out and told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from cutpath.intake.svg.markup import Node

PROPERTIES = frozenset({
    "display", "visibility", "font", "font-size", "transform", "transform-origin", "clip-path",
    "mask", "x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d",
})  # fmt: skip
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)|<!--|-->", re.DOTALL)
_COMPOUND = re.compile(r"(\*|[A-Za-z][\w-]*)?((?:[.#][\w-]+)*)")
_Specificity = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class _Compound:
    """One element's part of a selector: its name, id and classes."""

    name: str
    own_id: str
    classes: frozenset[str]
    is_child: bool

    def holds(self, node: Node) -> bool:
        if self.name not in {"", "*", node.name}:
            return False
        if self.own_id and node.attributes.get("id") != self.own_id:
            return False
        return self.classes <= set(node.attributes.get("class", "").split())


@dataclass(frozen=True, slots=True)
class _Rule:
    selector: tuple[_Compound, ...]
    weight: _Specificity
    plain: Mapping[str, str]
    important: Mapping[str, str]

    @property
    def key(self) -> str:
        """What an element must have for the rule to hold: one of ``_keys(element)``."""
        last = self.selector[-1]
        if last.own_id:
            return f"#{last.own_id}"
        return f".{min(last.classes)}" if last.classes else last.name or "*"

    def holds(self, node: Node) -> bool:
        return self.selector[-1].holds(node) and _held_above(self.selector, node)


def _keys(node: Node) -> Iterator[str]:
    yield from ("*", node.name, f"#{node.attributes.get('id')}")
    for name in set(node.attributes.get("class", "").split()):
        yield f".{name}"


def _held_above(selector: tuple[_Compound, ...], node: Node) -> bool:
    """Tell whether the elements around ``node`` hold all but the last part of ``selector``."""
    if len(selector) == 1:
        return True
    rest = selector[:-1]
    above = node.parent
    while above is not None:
        if rest[-1].holds(above) and _held_above(rest, above):
            return True
        if selector[-1].is_child:
            return False
        above = above.parent
    return False


class Styles:
    """What is declared for each element: attributes, then style sheets, then ``style``."""

    def __init__(self, root: Node) -> None:
        self.left_out: list[tuple[str, Node]] = []
        rules: list[_Rule] = []
        for node in root.within():
            if node.name == "style":
                self._add_sheet(node, rules)
        rules.sort(key=lambda rule: rule.weight)  # equal ones stay in file order
        # Drawing programs write a class for each look: only a few rules can hold for an element.
        self._ranked: dict[str, list[tuple[int, _Rule]]] = {}
        for rank, rule in enumerate(rules):
            self._ranked.setdefault(rule.key, []).append((rank, rule))

    def _add_sheet(self, sheet: Node, rules: list[_Rule]) -> None:
        for selectors, body in _blocks(_COMMENT.sub(" ", sheet.words())):
            plain, important = _declarations(body)
            if not plain and not important:
                continue
            for selector in selectors.split(","):
                parts = _selector(selector)
                if parts is None:
                    self.left_out.append((" ".join(selector.split()), sheet))
                else:
                    rules.append(_Rule(parts, _weight(parts), plain, important))

    def declared(self, node: Node) -> Mapping[str, str]:
        """Give attributes of ``node``, with what style sheets and ``style`` say over them."""
        inline = node.attributes.get("style")
        held = self._held(node)
        if inline is None and not held:
            return node.attributes
        plain, important = _declarations(inline or "")
        out = dict(node.attributes)
        for rule in held:
            out.update(rule.plain)
        out.update(plain)
        for rule in held:
            out.update(rule.important)
        out.update(important)
        return out

    def _held(self, node: Node) -> list[_Rule]:
        """Give the rules that hold for ``node``, those that count most last."""
        if not self._ranked:
            return []
        found = [
            (rank, rule)
            for key in _keys(node)
            for rank, rule in self._ranked.get(key, ())
            if rule.holds(node)
        ]
        found.sort(key=lambda one: one[0])
        return [rule for _, rule in found]


def _blocks(sheet: str) -> list[tuple[str, str]]:
    """Split a sheet into selectors and bodies; at-rules go, with all that is nested in them."""
    out, at = [], 0
    while (start := sheet.find("{", at)) >= 0:
        head = sheet[at:start].rpartition(";")[2].strip()
        depth, end = 1, start + 1
        while end < len(sheet) and depth:
            depth += {"{": 1, "}": -1}.get(sheet[end], 0)
            end += 1
        if not head.startswith("@"):
            out.append((head, sheet[start + 1 : end - (depth == 0)]))
        at = end
    return out


@lru_cache(maxsize=512)  # the same few looks are written on thousands of elements
def _declarations(body: str) -> tuple[Mapping[str, str], Mapping[str, str]]:
    plain: dict[str, str] = {}
    important: dict[str, str] = {}
    for declaration in _COMMENT.sub(" ", body).split(";"):
        name, colon, value = declaration.partition(":")
        name = name.strip().lower()
        if not colon or name not in PROPERTIES:
            continue
        value, _, urgent = value.partition("!")
        chosen = important if urgent.strip().lower() == "important" else plain
        chosen[name] = _path_text(value.strip()) if name == "d" else value.strip()
    return plain, important


def _path_text(value: str) -> str:
    match = re.fullmatch(r"path\(\s*([\"'])(.*)\1\s*\)", value, re.DOTALL)
    return match[2] if match else value


def _selector(text: str) -> tuple[_Compound, ...] | None:
    parts: list[_Compound] = []
    is_child = False
    for word in text.replace(">", " > ").split():
        if word == ">":
            is_child = True
            continue
        match = _COMPOUND.fullmatch(word)
        if match is None:
            return None
        marks = re.findall(r"[.#][\w-]+", match[2])
        ids = [mark[1:] for mark in marks if mark[0] == "#"]
        classes = frozenset(mark[1:] for mark in marks if mark[0] == ".")
        parts.append(_Compound(match[1] or "", ids[0] if ids else "", classes, is_child))
        is_child = False
    return tuple(parts) or None


def _weight(parts: tuple[_Compound, ...]) -> _Specificity:
    return (
        sum(bool(part.own_id) for part in parts),
        sum(len(part.classes) for part in parts),
        sum(part.name not in {"", "*"} for part in parts),
    )
