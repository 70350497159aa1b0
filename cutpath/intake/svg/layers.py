"""Which layer a drawn thing is on: SVG has none of its own, so names are taken as layers.

What counts is, from the thing outwards, a ``data-layer`` or a group's label; failing these a class
or the id of a top-level group. Names that programs number by themselves ("g12", "layer1", "st0")
count only where nothing better is found.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from cutpath.intake.svg.markup import Node

_NUMBERED = re.compile(
    r"(?:svg|svgid|layer|g|group|path|use|st|cls|style|class|id|xml)?[\s_-]*\d+[\s_-]*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Layers:
    """The names met on the way from the outermost element: sayings and guesses, nearest last."""

    said: tuple[str, ...] = ()
    guessed: tuple[str, ...] = ()

    def inside(self, node: Node) -> Layers:
        """Give the names that hold inside ``node``."""
        said, guessed = _own_saying(node), _own_guess(node)
        if not said and not guessed:
            return self
        return Layers(
            (*self.said, said) if said else self.said,
            (*self.guessed, guessed) if guessed else self.guessed,
        )

    @property
    def name(self) -> str:
        """The layer's name; empty where there is none."""
        nearest = [*self.said[::-1], *self.guessed[::-1]]
        chosen = [name for name in nearest if not _NUMBERED.fullmatch(name)]
        return next(iter(chosen or nearest), "")


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


def _own_guess(node: Node) -> str:
    classes = " ".join(node.attributes.get("class", "").split())
    if classes:
        return classes
    parent = node.parent
    if node.name == "g" and parent is not None and parent.parent is None:
        return node.attributes.get("id", "").strip()
    return ""
