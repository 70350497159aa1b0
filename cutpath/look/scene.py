"""What the page shows, as plain numbers: views with layers of lines, and one timeline each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Ints, Point, Points

_CLOSE = 0.02
"""How far a drawn chord may lie from its curve, mm."""


class Style(StrEnum):
    """How a layer is drawn; the page tells them apart by weight and dashes, then by shade."""

    NET = "net"
    CUT = "cut"
    MARK = "mark"
    PEN = "pen"
    KNIFE = "knife"
    DRILL = "drill"
    HOT = "hot"
    TRAVEL = "travel"
    FRAME = "frame"


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Lines of one kind: each item's points, and what is said when one points at it."""

    name: str
    style: Style
    lines: tuple[Points, ...]
    words: tuple[str, ...]
    is_on: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Timeline:
    """A machine's way in time: (n, 2) places, (n,) seconds, and for each what it is doing.

    ``down`` is 1 while the way to a place is worked and 0 while it is travelled; ``tool`` counts
    into ``tools``; ``stroke`` counts into ``strokes``, the words for each run of work (−1: none).
    """

    places: Points
    seconds: Floats
    down: Ints
    tool: Ints
    stroke: Ints
    tools: tuple[str, ...]
    strokes: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """A place worth going to: a finding, or where the file strays most."""

    name: str
    words: str
    at: Point
    is_bad: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Name:
    """A word that stands in the drawing; ``is_ringed`` for a seam's letter."""

    text: str
    at: Point
    is_ringed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One drawing of the page, mm with y up."""

    name: str
    layers: tuple[Layer, ...]
    spots: tuple[Spot, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    timeline: Timeline | None = None
    names: tuple[Name, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Everything on the page."""

    title: str
    views: tuple[View, ...]
    notes: tuple[str, ...] = field(default=())


def as_points_of(chain: Chain) -> Points:
    """Give a chain as a polyline for the page; a closed one ends where it begins."""
    points = flatten(chain, _CLOSE).points
    return np.concatenate([points, points[:1]]) if chain.closed else points


def layer_of(
    name: str, style: Style, chains: Sequence[Chain], words: Sequence[str], *, is_on: bool = True
) -> Layer:
    """Make a layer of ``chains``, with as many ``words``."""
    lines = tuple(as_points_of(chain) for chain in chains)
    return Layer(name, style, lines, tuple(words), is_on)
