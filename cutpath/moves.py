"""What a machine is told to do, and what is read back from its file."""

from __future__ import annotations

from dataclasses import dataclass

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Floats, Point


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

    ``speed`` is mm/s where it is not the tool's own. ``headings``, (n, 2) radians, tell where a
    turned blade points at the start and the end of each segment; turns add up.
    """

    chain: Chain
    speed: float | None = None
    headings: Floats | None = None


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
    ``headings``, (n, 2) radians, tell where a blade on a turning axis points at the start and the
    end of each segment; None where the machine has no such axis.
    """

    tool: int
    chain: Chain
    place: int
    headings: Floats | None = None


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

    ``travel`` are tool-up moves (2-point chains as they are read); ``made`` tells for each how many
    strokes come before it, and the tool in hand. ``is_up_at_end`` and ``tool_at_end`` tell how the
    file leaves the machine; ``selected`` lists tool numbers in the order they are picked;
    ``waited`` is how long it stands still, s. ``advances`` are in order; strokes and travel are in
    the coordinates of the bed, frame by frame.
    """

    strokes: tuple[Stroke, ...]
    travel: tuple[Chain, ...]
    selected: tuple[int, ...]
    is_up_at_end: bool
    tool_at_end: int
    made: tuple[tuple[int, int], ...] = ()
    waited: float = 0.0
    advances: tuple[ClothAdvance, ...] = ()
