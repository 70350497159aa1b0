"""XML bytes to a tree of nodes that know their line; attacks by entities are refused.

Short internal entities without markup in them are read, because drawing programs write namespace
names that way; they cannot multiply. External ones, nested ones and long ones are refused.
"""

from __future__ import annotations

import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NoReturn
from xml.etree.ElementTree import ParseError  # the error alone; defusedxml does the reading

from defusedxml.common import DefusedXmlException, EntitiesForbidden
from defusedxml.ElementTree import DefusedXMLParser

from cutpath.errors import InputError, Source

_SVG = "http://www.w3.org/2000/svg"
_LONGEST_ENTITY = 200
_DEEPEST = 100
_LARGEST_UNPACKED = 1 << 29


@dataclass(slots=True, eq=False)
class Node:
    """One element: its local name (``""`` outside SVG's namespace), attributes and content.

    ``number`` counts the elements of the same name from 1 in the order of the file.
    """

    name: str
    attributes: dict[str, str]
    line: int
    number: int
    parent: Node | None
    content: list[Node | str] = field(default_factory=list)

    @property
    def children(self) -> Iterator[Node]:
        """The elements directly inside."""
        return (part for part in self.content if isinstance(part, Node))

    @property
    def entity(self) -> str:
        """The name by which a person finds it: ``path 'top'`` or ``path number 7``."""
        own = self.attributes.get("id", "").strip()
        return f"{self.name} '{own}'" if own else f"{self.name} number {self.number}"

    def source(self, xy: tuple[float, float] | None = None) -> Source:
        """Give its place; the file's name is added by the reader."""
        return Source(entity=self.entity, line=self.line, xy=xy)

    def within(self) -> Iterator[Node]:
        """Give this node and all inside it, in the order of the file."""
        waiting = [self]
        while waiting:
            node = waiting.pop()
            yield node
            waiting += reversed(list(node.children))

    def words(self) -> str:
        """Give all the text inside, as it stands."""
        return "".join(part if isinstance(part, str) else part.words() for part in self.content)


def parse_markup(data: bytes) -> Node:
    """Read ``data``, packed by gzip or plain, and give its outermost ``svg`` element.

    Raises InputError for XML that is not well formed, for refused entities, for elements nested
    deeper than 100, and where the outermost element is not SVG.
    """
    grower = _Grower()
    parser = _Parser(grower)
    try:
        parser.feed(_unpacked(data))
        parser.close()
    except ParseError as error:
        line, column = error.position
        what = str(error).partition(":")[0]
        raise InputError(
            f"this is not well-formed XML: {what}, column {column + 1}",
            Source(line=line),
            "Save it again from the program that drew it, as plain SVG.",
        ) from None
    except DefusedXmlException as error:
        _refuse(error, parser.parser.CurrentLineNumber)
    except (ValueError, LookupError):
        raise InputError(
            "the text encoding that this SVG names is not known",
            Source(line=1),
            "Save it again as UTF-8.",
        ) from None
    root = grower.root
    if root is None or root.name != "svg":
        raise InputError(
            "the outermost element is not svg",
            Source(line=1 if root is None else root.line),
            "Give an SVG or a DXF drawing.",
        )
    return root


def _refuse(error: DefusedXmlException, line: int) -> NoReturn:
    name = getattr(error, "name", "") or getattr(error, "sysid", "") or ""
    raise InputError(
        f"the entity '{name}' in its DOCTYPE reaches outside the file or multiplies: refused",
        Source(line=line),
        "Save the drawing again as plain SVG, without entities.",
    ) from None


def _unpacked(data: bytes) -> bytes:
    if not data.startswith(b"\x1f\x8b"):
        return data
    unpacker = zlib.decompressobj(wbits=31)
    try:
        out = unpacker.decompress(data, _LARGEST_UNPACKED)
    except zlib.error:
        raise InputError("the packed drawing is damaged", remedy="Save it again.") from None
    if not unpacker.eof:
        raise InputError(
            "the packed drawing is cut short or grows beyond 512 MB", remedy="Unpack it first."
        )
    return out


class _Grower:
    """Builds the tree as the parser meets tags."""

    def __init__(self) -> None:
        self.root: Node | None = None
        self.parser: _Parser | None = None
        self._open: list[Node] = []
        self._counts: Counter[str] = Counter()

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        namespace, _, local = tag.rpartition("}")
        name = local if namespace in {"", "{" + _SVG} else ""
        line = self.parser.parser.CurrentLineNumber if self.parser else 0
        if len(self._open) >= _DEEPEST:
            raise InputError(
                f"elements are nested more than {_DEEPEST} deep",
                Source(line=line),
                "Ungroup the drawing.",
            )
        self._counts[name] += 1
        parent = self._open[-1] if self._open else None
        node = Node(name, attributes, line, self._counts[name], parent)
        if parent is None:
            self.root = node
        else:
            parent.content.append(node)
        self._open.append(node)

    def end(self, tag: str) -> None:
        del tag
        self._open.pop()

    def data(self, text: str) -> None:
        if self._open:
            self._open[-1].content.append(text)

    def close(self) -> None:
        """Nothing is left to do."""


class _Parser(DefusedXMLParser):
    def __init__(self, grower: _Grower) -> None:
        super().__init__(target=grower)
        grower.parser = self

    def defused_entity_decl(  # noqa: PLR0913, PLR0917 (expat's own signature)
        self,
        name: str,
        is_parameter_entity: bool,
        value: str | None,
        base: str | None,
        sysid: str | None,
        pubid: str | None,
        notation_name: str | None,
    ) -> None:
        """Let pass only a short text with no reference and no markup in it."""
        plain = value is not None and len(value) <= _LONGEST_ENTITY and not set(value) & set("&<%")
        if is_parameter_entity or not plain:  # an external one has no value
            raise EntitiesForbidden(name, value, base, sysid, pubid, notation_name)
