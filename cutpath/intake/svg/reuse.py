"""What each ``use`` uses, and a look ahead at how far uses of uses multiply."""

from __future__ import annotations

from cutpath.errors import InputError
from cutpath.intake.svg.markup import Node

_MOST = 500_000
_DEEPEST = 100
_HREF = ("href", "{http://www.w3.org/1999/xlink}href")


def href_of(use: Node) -> str:
    """Give the reference of a ``use``, as it is written."""
    found = (use.attributes[name] for name in _HREF if name in use.attributes)
    return next(found, "").strip()


class Reuse:
    """The elements of a drawing by their ids."""

    def __init__(self, root: Node) -> None:
        self._by_id: dict[str, Node] = {}
        for node in root.within():
            if own := node.attributes.get("id", "").strip():
                self._by_id.setdefault(own, node)
        self._sizes: dict[int, int] = {}
        self._size(root, 0)

    def target(self, use: Node) -> Node | None:
        """Give what ``use`` uses; None where that is not in this drawing."""
        href = href_of(use)
        return self._by_id.get(href[1:]) if href[:1] == "#" else None

    def _size(self, node: Node, depth: int) -> int:
        """Count the elements in ``node`` with all copies; a circle is left for the walk to tell.

        Raises InputError when there are more than half a million.
        """
        known = self._sizes.get(id(node))
        if known is not None:
            return known
        if depth > _DEEPEST:
            raise InputError(
                f"elements are nested more than {_DEEPEST} deep, counting what is used",
                node.source(),
                "Ungroup the drawing.",
            )
        self._sizes[id(node)] = 0
        size = 1 + sum(self._size(child, depth + 1) for child in node.children)
        target = self.target(node) if node.name == "use" else None
        if target is not None:
            size += self._size(target, depth + 1)
            if size > _MOST:
                raise InputError(
                    f"`use` elements multiply to more than {_MOST} copies",
                    node.source(),
                    "Draw the copies that you need, or fewer of them.",
                )
        self._sizes[id(node)] = size
        return size
