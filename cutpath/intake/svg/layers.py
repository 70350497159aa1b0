"""Which layer a drawn thing is on: SVG has none of its own, so names are taken as layers.

What counts is the nearest ``data-layer`` or group's label; failing these the id of the top-level
group; failing that the nearest class. Names that programs number by themselves ("g12", "layer1",
"st0") count only where nothing better is found.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from cutpath.intake.svg.markup import Node

_NUMBERED = re.compile(
    r"(?:svg|svgid|layer|g|group|path|use|st|cls|style|class|id|xml)?[\s_-]*\d+[\s_-]*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Layers:
    """The nearest names met on the way from the outermost element, numbered ones apart."""

    said: str = ""
    group: str = ""
    kind: str = ""
    numbered: str = ""

    def inside(self, node: Node) -> Layers:
        """Give the names that hold inside ``node``."""
        out = self
        for field, name in (
            ("kind", " ".join(node.attributes.get("class", "").split())),
            ("group", _top_id(node)),
            ("said", _own_saying(node)),
        ):
            if name:
                place = "numbered" if _is_numbered(name) else field
                out = replace(out, **{place: name})
        return out

    @property
    def name(self) -> str:
        """The layer's name; empty where there is none."""
        return self.said or self.group or self.kind or self.numbered


@lru_cache(maxsize=512)
def _is_numbered(name: str) -> bool:
    return _NUMBERED.fullmatch(name) is not None


def _own_saying(node: Node) -> str:
    own = node.attributes.get("data-layer", "").strip()
    if own or node.name not in {"g", "svg", "a"}:
        return own
    labels = (
        value.strip()
        for name, value in node.attributes.items()
        if name.rpartition("}")[2] == "label" and value.strip()
    )
    return next(labels, "")


def _top_id(node: Node) -> str:
    parent = node.parent
    if node.name == "g" and parent is not None and parent.parent is None:
        return node.attributes.get("id", "").strip()
    return ""
