"""What holds at one place of the tree: its matrix, ruler, layers, and whether it is shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.transform import Matrix, compose, translation
from cutpath.intake.svg.layers import Layers
from cutpath.intake.svg.ledger import Ledger
from cutpath.intake.svg.lengths import LARGEST, Ruler
from cutpath.intake.svg.lettering import sized
from cutpath.intake.svg.markup import Node
from cutpath.intake.svg.transforms import parse_origin, parse_transform

_SINGULAR = 1e-12
"""Flatter than this, as a share, a transform leaves nothing to see."""
_CUT_AWAY = ("clip-path", "mask")
_INHERITED = {"visibility", "font-size", "font"}


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """What an element has from those around it.

    ``matrix`` maps its units to mm. ``used`` are the targets of the `use`s around it, ``user``
    names the outermost of these; ``depth`` counts the elements around it.
    """

    matrix: Matrix
    ruler: Ruler
    layers: Layers
    is_visible: bool = True
    used: tuple[Node, ...] = ()
    user: str = ""
    depth: int = 0

    @property
    def scale(self) -> float:
        """The mm to a unit, the same area for the same area."""
        return float(np.sqrt(abs(np.linalg.det(self.matrix[:, :2]))))


def inherited(place: Place, declared: Mapping[str, str]) -> Place:
    """Give ``place`` with the visibility and font size that are said here."""
    if _INHERITED.isdisjoint(declared):
        return place
    visibility = declared.get("visibility", "inherit").strip()
    return replace(
        place,
        ruler=sized(place.ruler, declared.get("font-size"), declared.get("font")),
        is_visible=place.is_visible if visibility == "inherit" else visibility == "visible",
    )


def place_inside(
    node: Node, declared: Mapping[str, str], around: Place, ledger: Ledger
) -> Place | None:
    """Give what holds inside ``node``; None where its transform leaves nothing to see.

    Raises ValueError, with words for the user, for a transform that is none.
    """
    place = inherited(around, declared)
    matrix = place.matrix
    if listed := declared.get("transform"):
        own = parse_transform(listed, place.ruler)
        (a, c), (b, d) = own[:, :2].tolist()
        if abs(a * d - b * c) <= _SINGULAR * max(abs(a), abs(b), abs(c), abs(d)) ** 2:
            ledger.tell(node, "its transform flattens it to nothing; it is not read")
            return None
        if origin := declared.get("transform-origin"):
            shift = parse_origin(origin, place.ruler)
            own = compose(shift, own, translation(-shift[0, 2], -shift[1, 2]))
        matrix = compose(matrix, own)
        if not np.abs(matrix).max() <= LARGEST:
            raise ValueError("its transforms together are too large")
    if any(declared.get(name, "none").strip() != "none" for name in _CUT_AWAY):
        ledger.read_whole(node)
    return replace(place, matrix=matrix, layers=place.layers.inside(node), depth=place.depth + 1)
