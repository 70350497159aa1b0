"""The frozen values that stages hand on.

    Drawing → Panel → Piece → Toolpath → Stroke (what a machine file draws, read back)

Everything is in mm, y up; angles are radians counter-clockwise from +x. A stage that knows more
returns a later type; no field waits to be filled.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from cutpath.errors import Source
from cutpath.geometry.chain import Chain, closed_up, joined
from cutpath.geometry.points import Point


class Sort(StrEnum):
    """What a drawn thing is for, as far as the drawing itself says so."""

    UNSAID = "unsaid"
    OUTLINE = "outline"
    CUTOUT = "cutout"
    DRAWN = "drawn"
    SEW = "sew"
    GRAIN = "grain"
    MIRROR = "mirror"
    NOTCH = "notch"
    DRILL = "drill"
    TURN = "turn"
    CURVE = "curve"
    NOTE = "note"


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """One drawn curve, as exact as it was drawn. ``group`` names the block it belongs to."""

    chain: Chain
    source: Source
    sort: Sort = Sort.UNSAID
    group: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """One drawn point."""

    xy: Point
    source: Source
    sort: Sort = Sort.UNSAID
    group: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Text:
    """One drawn text at its insertion point; ``height`` in mm."""

    words: str
    xy: Point
    height: float
    source: Source
    sort: Sort = Sort.UNSAID
    group: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a stage noticed or mended: for people to read, never fatal."""

    message: str
    source: Source
    remedy: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """All that was read from one file, in mm.

    ``unit`` is what one drawing unit was taken for, in words ("mm", "in", "px of 1/96 in");
    ``facts`` are a pattern-exchange drawing's style texts ("STYLE NAME": "…"), ``is_exchange``
    tells whether it was recognised as one (ASTM D6673: a piece per block, numbered layers).
    """

    file: str
    unit: str
    curves: tuple[Curve, ...]
    spots: tuple[Spot, ...]
    texts: tuple[Text, ...]
    facts: Mapping[str, str]
    is_exchange: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """One edge of a panel's net line, an open chain from corner to corner."""

    name: str
    chain: Chain


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """A reference mark on a seam: ``station`` mm along the named edge, on the net line."""

    name: str
    edge: str
    station: float
    source: Source


class Inner(StrEnum):
    """What becomes of a loop inside a panel."""

    CUT = "cut"
    DRAW = "draw"


@dataclass(frozen=True, slots=True, eq=False)
class InnerLoop:
    """A closed loop inside a panel, clockwise, cut by the knife or drawn by the pen."""

    name: str
    chain: Chain
    use: Inner


@dataclass(frozen=True, slots=True, eq=False)
class Drill:
    """A mark inside a panel to be drilled, or crossed by pen where no drill is."""

    name: str
    xy: Point


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One traced panel: its net line as named edges, and all that is marked on it.

    Edges run counter-clockwise, each beginning where the one before ends.
    ``grain`` is the direction of the warp; ``drawn`` are lines for the pen, ``slits`` short open
    cuts inside, where scissors will begin.
    ``count`` and ``mirrored`` say how many are cut as drawn and how many as mirror images.
    """

    name: str
    edges: tuple[Edge, ...]
    marks: tuple[Mark, ...]
    inner: tuple[InnerLoop, ...]
    drills: tuple[Drill, ...]
    drawn: tuple[Chain, ...]
    grain: float | None
    count: int
    mirrored: int
    material: str
    source: Source
    slits: tuple[Chain, ...] = ()

    @property
    def outline(self) -> Chain:
        """Give the net line as one closed loop."""
        return closed_up(joined([edge.chain for edge in self.edges]))

    def edge(self, name: str) -> Edge:
        """Give the edge of this name. Raises ValueError where there is none."""
        for edge in self.edges:
            if edge.name == name:
                return edge
        raise ValueError(f"panel '{self.name}' has no edge '{name}'")


class Corner(StrEnum):
    """How two neighbouring allowances meet.

    ``mitre``: both run on to their crossing, bevelled beyond a limit; ``square``: each ends at 90°
    to its own stitch line through the corner; ``fold``: the hem's end is the mirror image, in the
    fold line, of what it will lie on; ``crease``: two hems trimmed parallel to the crease through
    the corner.
    """

    MITRE = "mitre"
    SQUARE = "square"
    FOLD = "fold"
    CREASE = "crease"


@dataclass(frozen=True, slots=True)
class Allowance:
    """What is added outside one edge: ``width`` mm in all, of which ``turn_under`` is turned twice.

    ``finish`` is the name of the finish; ``end`` the corner it asks for where nothing else is said.
    """

    finish: str
    width: float
    turn_under: float
    end: Corner


class NotchShape(StrEnum):
    """How a mark is cut into the allowance."""

    SLIT = "slit"
    VEE = "vee"
    OUTWARD = "outward"
    NONE = "none"


class Role(StrEnum):
    """The kind of tool a toolpath asks for, in the order they work."""

    PEN = "pen"
    DRILL = "drill"
    KNIFE = "knife"
    HOT = "hot"


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One piece of cloth to be cut: all lines in the panel's own coordinates (or laid, moved).

    ``cut`` is closed and counter-clockwise; ``net`` is the stitch line; ``notches`` are open knife
    strokes that begin on the cut line; ``inner_cuts`` closed; ``pen`` strokes are drawn (folds,
    crosses, windows), ``lettering`` too, in the order of writing; ``drills`` are points.
    ``grain`` is the direction of the warp, None where nobody said; ``level`` the point that lies
    level with those of other pieces along the roll, None where there is none. A strap has
    ``sealed`` ends, strokes of a hot tool across it, and its long sides are not cut.
    """

    name: str
    panel: str
    cloth: str
    mirrored: bool
    cut: Chain
    net: Chain
    notches: tuple[Chain, ...]
    inner_cuts: tuple[Chain, ...]
    pen: tuple[Chain, ...]
    lettering: tuple[Chain, ...]
    drills: tuple[Point, ...]
    source: Source
    grain: float | None = None
    level: Point | None = None
    sealed: tuple[Chain, ...] = ()


class Feature(StrEnum):
    """What a toolpath makes of its piece."""

    LINE = "line"
    LETTERING = "lettering"
    DRILL = "drill mark"
    NOTCH = "notch"
    INNER = "inner cut"
    SEAL = "sealed end"
    OUTLINE = "outline"
    CHECK = "check mark"
    TEST = "test cut"


@dataclass(frozen=True, slots=True, eq=False)
class Pause:
    """Wait with the tool up: go to ``at``, in bed coordinates, and stand still for ``seconds``."""

    at: Point
    seconds: float


@dataclass(frozen=True, slots=True)
class Trial:
    """How a test stroke is made otherwise than the machine's profile says; None: as it says.

    ``tool`` is the profile's name of a tool, "" the one for the stroke's role. ``speed`` is mm/s,
    ``force`` in the plotter's own steps, ``depth`` mm below the surface, ``lift_height`` how many
    mm above it the tool is lifted afterwards.
    """

    tool: str = ""
    speed: float | None = None
    force: int | None = None
    depth: float | None = None
    lift_height: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Toolpath:
    """One stroke of one tool role, in bed coordinates; a drill mark is a chain of no length.

    ``piece`` names the piece it serves, unique within a load. ``pause`` comes before it. So does
    ``advance``: the machine moves the cloth on by so many mm, which begins a new frame. Bed
    coordinates are those of the path's own frame, so what is at p on the bed lies at
    p + (all advances up to here) × (direction of the cloth's run) on the cloth. Strokes
    of test patterns may be made as a ``trial``.
    """

    role: Role
    feature: Feature
    piece: str
    chain: Chain
    pause: Pause | None = None
    trial: Trial = Trial()
    advance: float = 0.0

    @property
    def is_dry(self) -> bool:
        """Whether the tool only goes and stands over a known point, up."""
        return self.feature is Feature.CHECK and bool((self.chain.points == self.chain.first).all())


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """What lies on the bed at one time: pieces of one cloth, placed, in bed coordinates.

    ``note`` tells the operator where the cloth lies, where that is known. ``advance`` is how far,
    mm, the machine itself moves the cloth on before it; one that ``goes_on`` from the load before
    is cut by the same file.
    """

    cloth: str
    number: int
    pieces: tuple[Piece, ...]
    note: str = ""
    advance: float = 0.0
    goes_on: bool = False


@dataclass(frozen=True, slots=True)
class EdgeName:
    """One edge of one panel, both by name."""

    panel: str
    edge: str

    def __str__(self) -> str:
        return f"{self.panel}/{self.edge}"


@dataclass(frozen=True, slots=True)
class Seam:
    """Two edges that will be sewn together, lettered alike on both panels.

    ``reverse``: the second edge is walked from its end to its start, as edges of two panels traced
    face up run. ``ease`` is how many mm longer the second is wanted, ``mark_tolerance`` mm from
    mark to mark, ``length_tolerance`` (mm, share) the larger of both over the edge, ``kink_limit``
    radians, ``shape_limit`` mm (None: only told). ``true`` asks to share small differences;
    ``span`` are the stations of the first edge between which it is sewn, None for all of it.
    """

    letter: str
    first: EdgeName
    second: EdgeName
    reverse: bool = True
    ease: float = 0.0
    mark_tolerance: float = 1.5
    length_tolerance: tuple[float, float] = (1.5, 0.002)
    kink_limit: float = math.radians(2.0)
    shape_limit: float | None = None
    true: bool = False
    span: tuple[float, float] | None = None
