"""Parts that nobody traced, as frozen values: what they are cut from, and what has to be bought.

Panels + job → Part (pieces of its own, lines and marks on panels, supplies, reasons)
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from cutpath.geometry.chain import Chain
from cutpath.geometry.points import Point
from cutpath.model import Drill, EdgeName, Finding, Mark, Seam
from cutpath.settings.panel_plan import PanelPlan


class PartKind(StrEnum):
    """What a derived part is."""

    POCKET = "pocket"
    WINDOW = "window"
    PATCH = "patch"
    BINDING = "binding"
    ZIP = "zip"
    EDGE_ROPE = "edge rope"
    WEBBING = "webbing"


class SupplyKind(StrEnum):
    """What is bought, in the order of the list."""

    CLOTH = "cloth"
    FILM = "film"
    BINDING = "binding"
    ZIP = "zip"
    SLIDER = "slider"
    ROPE = "edge rope"
    WEBBING = "webbing"
    TAPE = "seam tape"
    FASTENER = "fastener"
    THREAD = "thread"


class Measure(StrEnum):
    """What a supply is counted in."""

    LENGTH = "mm"
    AREA = "mm²"
    COUNT = "pieces"


@dataclass(frozen=True, slots=True)
class Supply:
    """Something that has to be on the bench. ``amount`` is net, in ``measure``.

    ``waste`` is the share to be added for waste, shown apart. ``name`` is what is ordered;
    ``part`` what it is for.
    """

    kind: SupplyKind
    name: str
    amount: float
    measure: Measure
    part: str
    waste: float = 0.0


@dataclass(frozen=True, slots=True)
class Reason:
    """How a number of a part came about: ``formula`` in words and figures, and its ``source``.

    ``value`` is in ``unit`` ("mm", "°", "" for a count). A source may be "common practice, no
    source" or "from memory".
    """

    part: str
    what: str
    value: float
    unit: str
    formula: str
    source: str


@dataclass(frozen=True, slots=True)
class StitchRow:
    """A run of stitching, ``length`` mm, through ``plies``; ``stitch`` is a number of ISO 4915."""

    part: str
    length: float
    stitch: str
    plies: int


@dataclass(frozen=True, slots=True, eq=False)
class OnPanel:
    """What a part leaves on the panel that it is sewn to, in the panel's own coordinates.

    ``drawn`` is for the pen; ``slits`` are short open knife cuts inside; ``marks`` are stations on
    its edges, beside those that were traced. ``instead_of`` names inner loops whose place it takes.
    """

    panel: str
    marks: tuple[Mark, ...] = ()
    drawn: tuple[Chain, ...] = ()
    slits: tuple[Chain, ...] = ()
    drills: tuple[Drill, ...] = ()
    instead_of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WebbingPiece:
    """One kind of webbing strap: ``count`` pieces of ``length`` mm, cut from ``material``.

    ``marks`` are stations for the pen where it folds, mm from the first end, and ``boxes`` where
    boxes of stitches begin and end; ``is_sealed`` tells hot-cut ends.
    """

    name: str
    material: str
    width: float
    length: float
    count: int
    marks: tuple[float, ...] = ()
    is_sealed: bool = True
    boxes: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One derived part.

    ``plans`` are its own pieces of cloth or film, with their allowances; ``seams`` join them to the
    panels' edges and are walked by ``check``; ``runs`` are the edges that it lies along, ``at``
    where it stands in panel coordinates when it lies along none.
    """

    name: str
    kind: PartKind
    plans: tuple[PanelPlan, ...] = ()
    on_panels: tuple[OnPanel, ...] = ()
    seams: tuple[Seam, ...] = ()
    runs: tuple[EdgeName, ...] = ()
    at: tuple[Point, ...] = ()
    webbing: tuple[WebbingPiece, ...] = ()
    stitching: tuple[StitchRow, ...] = ()
    supplies: tuple[Supply, ...] = ()
    reasons: tuple[Reason, ...] = ()
    findings: tuple[Finding, ...] = ()
