"""What a machine is told to do, and what is read back from its file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Point


@dataclass(frozen=True, slots=True)
class SelectTool:
    """Change to the profile's tool of this name; the tool is up."""

    tool: str


@dataclass(frozen=True, slots=True, eq=False)
class Travel:
    """Move with the tool up, straight, to ``to``."""

    to: Point


@dataclass(frozen=True, slots=True)
class Lower:
    """Put the tool down where it stands.

    ``force`` (the plotter's own steps) and ``depth`` (mm below the surface) are given where they
    are not the tool's own.
    """

    force: int | None = None
    depth: float | None = None


@dataclass(frozen=True, slots=True)
class Lift:
    """Take the tool up where it stands, ``height`` mm above the surface where that is given."""

    height: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Follow:
    """Move with the tool down along ``chain`` (lines and arcs only), from its first point.

    ``speed`` is mm/s where it is not the tool's own. A turned blade turns along.
    """

    chain: Chain
    speed: float | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """Turn the blade where it stands to ``heading`` radians; turns add up: 2π is once round."""

    heading: float


@dataclass(frozen=True, slots=True)
class Dwell:
    """Stand still for ``seconds``."""

    seconds: float


@dataclass(frozen=True, slots=True)
class AdvanceCloth:
    """Move the cloth on by ``distance`` mm with the tool up; the head stays where it is."""

    distance: float


Move = SelectTool | Travel | Lower | Lift | Follow | Turn | Dwell | AdvanceCloth
"""What a machine is told, in machine coordinates, still in mm."""


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """One tool-down run read back from a machine file: lines and arcs, machine coordinates, mm.

    ``tool`` is the number the file selected it by; ``place`` where in the file it begins
    (byte offset or line, as the language counts). A plunge without a move is a chain of no length.
    """

    tool: int
    chain: Chain
    place: int


@dataclass(frozen=True, slots=True)
class ClothAdvance:
    """One time that a file moves the cloth on by ``distance`` mm, as it is told.

    So many ``strokes`` and ``travels`` come before it; ``place`` is where in the file it stands.
    """

    distance: float
    strokes: int
    travels: int
    is_up: bool
    place: int


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """What a machine file does, as read by its published language.

    ``travel`` are tool-up moves (2-point chains); ``is_up_at_end`` and ``tool_at_end`` tell how it
    leaves the machine; ``selected`` lists tool numbers in the order they are picked.
    ``turned_off``: by tool, how far (radians) a turned blade is off its way at worst, and the line.
    ``advances`` are in order; strokes and travel are in the coordinates of the bed, frame by frame.
    """

    strokes: tuple[Stroke, ...]
    travel: tuple[Chain, ...]
    selected: tuple[int, ...]
    is_up_at_end: bool
    tool_at_end: int
    turned_off: Mapping[int, tuple[float, int]] = field(default_factory=dict)
    advances: tuple[ClothAdvance, ...] = ()
