"""The schema of ``job.toml``: what a maker may write about a drawing, and what holds if not."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, field_validator

from cutpath.model import Corner, Inner, NotchShape, Sort
from cutpath.revision import PairUse
from cutpath.settings.cloth_entry import Cloth
from cutpath.settings.part_tables.pocket import EdgeRopeEntry, PocketEntry, ZipEntry
from cutpath.settings.part_tables.webbing import (
    FastenerEntry,
    Prices,
    ThreadEntry,
    WebbingEntry,
    WebbingKind,
)
from cutpath.settings.part_tables.window import BindingEntry, PatchEntry, WindowEntry
from cutpath.settings.quantities import Angle, Extent, Length, Size
from cutpath.settings.toml_file import Settings
from cutpath.units import unit_factor


class FinishName(StrEnum):
    """How an edge is finished."""

    PLAIN = "plain"
    ZIP = "zip"
    HEM = "hem"
    BOUND = "bound"
    RAW = "raw"


class Face(StrEnum):
    """Which face of the cloth lies up on the table."""

    UP = "up"
    DOWN = "down"


class Hold(StrEnum):
    """Which ends of a faired edge keep the direction that was digitised."""

    NONE = "none"
    START = "start"
    END = "end"
    BOTH = "both"


def _width_alone(value: Any) -> Any:  # noqa: ANN401 (what TOML holds)
    return {"width": value} if isinstance(value, str | int | float) else value


def _finish_alone(value: Any) -> Any:  # noqa: ANN401
    return {"finish": value} if isinstance(value, str) else value


class Finish(Settings):
    """What a finish adds outside the stitch line, for the whole job."""

    width: Extent = Field(0.0, description="from the stitch line to the fold or the raw edge")
    turn_under: Extent = Field(0.0, description="beyond that, turned under before it is sewn")
    corner: Corner | None = Field(None, description="how it meets its neighbours")


_FinishField = Annotated[Finish, BeforeValidator(_width_alone)]


class Finishes(Settings):
    """The finishes and their widths.

    Defaults: plain 12.7 mm and zip 25.4 mm (common practice, no source); hem 1 in turned over and
    1/2 in turned under (US Army FM 10-16, chapter 8); bound and raw edges are cut on the line.
    """

    plain: _FinishField = Finish(width=12.7)
    zip: _FinishField = Finish(width=25.4)
    hem: _FinishField = Finish(width=25.4, turn_under=12.7, corner=Corner.FOLD)
    bound: _FinishField = Finish()
    raw: _FinishField = Finish()

    @field_validator("hem", mode="after")
    @classmethod
    def _hems_fold(cls, hem: Finish) -> Finish:
        return hem if hem.corner else hem.model_copy(update={"corner": Corner.FOLD})

    def named(self, name: FinishName) -> Finish:
        """Give the finish called ``name``."""
        finish: Finish = getattr(self, name.value)
        return finish


class Snip(StrEnum):
    """Which curved allowances are snipped."""

    NONE = "none"
    INWARD = "inward"
    BOTH = "both"


class Notches(Settings):
    """How marks on seams are cut, and curved allowances opened."""

    shape: NotchShape | None = Field(None, description="where not said, as the machine does")
    depth: Size | None = Field(None, description="never more than half the allowance")
    snips: Snip = Field(Snip.NONE, description="inward bends, or outward ones too, with vees")
    both_faces: bool = Field(False, description="marks are drilled too, so that the back has them")


class Labels(Settings):
    """The lettering on each piece."""

    height: Extent = Field(8.0, description="height of capitals; 0 for no label")


class PenLines(Settings):
    """What the pen draws on each piece besides its marks."""

    folds: bool = Field(False, description="the lines that hems fold on")
    stitch: bool = Field(False, description="the stitch line all round")
    grain: bool = Field(True, description="an arrow along the warp")


class EdgeEntry(Settings):
    """One edge of a panel: its finish, where it differs from the panel's, and its fairing."""

    is_: str | None = Field(None, alias="is", description="the edge's name in the drawing")
    finish: FinishName | None = None
    width: Extent | None = None
    turn_under: Extent | None = None
    fair: Size | None = Field(
        None, description="lay a smooth curve that stays this close to every digitised point"
    )
    hold: Hold = Field(Hold.NONE, description="ends of a faired edge that keep their direction")


_EdgeField = Annotated[EdgeEntry, BeforeValidator(_finish_alone)]


class PanelEntry(Settings):
    """One panel: what the drawing doesn't say about it."""

    from_: str | None = Field(None, alias="from", description="the panel's name in the drawing")
    cloth: str | None = None
    count: int | None = Field(None, ge=0, le=10_000, strict=True)
    mirrored: int | None = Field(None, ge=0, le=10_000, strict=True)
    face: Face = Face.UP
    grain: Angle | None = Field(None, description="direction of the warp on the drawing")
    finish: FinishName | None = None
    width: Extent | None = None
    turn_under: Extent | None = None
    inner: Inner | None = None
    corners: tuple[str, ...] = Field((), description="marks that are corners too")
    keep_level: str | None = Field(
        None, description="the mark that lies level with those of other panels, along the roll"
    )
    split: tuple[Length, ...] = Field(
        (), description="new seams along the warp, so far from the panel's edge across it"
    )
    pair_with: str | None = Field(None, description="the panel that this one mirrors")
    pair: PairUse = Field(
        PairUse.COMPARE,
        description="compare only, cut both to the mean of both, or mirror the other one",
    )
    edges: dict[str, _EdgeField] = Field(default_factory=dict)
    meet: dict[str, Corner] = Field(default_factory=dict, description='"top/aft" = "square"')


class Tolerances(Settings):
    """What a seam may be off before it is flagged, for the whole job.

    Defaults: 1.5 mm from mark to mark, max(1.5 mm, 0.2 %) over a whole edge, 2° where the hem line
    crosses a seam (common practice, no source; patternmakers are said to hold 1/16 in).
    """

    marks: Extent = Field(1.5, description="from mark to mark")
    length: Extent = Field(1.5, description="over a whole edge, at least")
    share: float = Field(0.002, ge=0, le=0.1, description="over a whole edge, as a share of it")
    kink: Angle = Field(math.radians(2.0), ge=0, description="where the outline crosses a seam")


class SeamEntry(Settings):
    """Two edges that are sewn together."""

    join: tuple[str, str] = Field(description='"panel/edge" of both, like "front/top"')
    letter: str = Field("", description="what the seam is called; A, B, C … when not said")
    ease: Length = Field(0.0, description="how much longer the second edge is wanted")
    same_way: bool = Field(
        False, description="the second edge is walked as it runs: one panel traced face down"
    )
    marks: Extent | None = Field(None, description="tolerance from mark to mark")
    length: Extent | None = Field(None, description="tolerance over the whole edge")
    share: float | None = Field(None, ge=0, le=0.1, description="the same, as a share of it")
    kink: Angle | None = Field(None, ge=0)
    shape: Extent | None = Field(
        None, description="largest difference in shape; only told if not said"
    )
    true_: bool = Field(
        False, alias="true", description="share differences inside tolerance between both edges"
    )


class SewingEntry(Settings):
    """What the maker knows better about the order of sewing."""

    step: str = Field(description='a step by its name, like "join A"')
    after: tuple[str, ...] = Field(description="steps that come before it")


class JobFile(Settings):
    """All of ``job.toml``."""

    name: str = ""
    drawing: str | None = None
    units: str | None = Field(None, description="needed only where the drawing does not say")
    cloth: str | None = None
    finish: FinishName = FinishName.PLAIN
    corner_angle: Angle = math.radians(25)
    join: Extent = 0.1
    mitre_limit: float = Field(2.5, ge=1, le=20)
    layers: dict[str, Sort] = Field(default_factory=dict)
    cloths: dict[str, Cloth] = Field(default_factory=dict)
    finishes: Finishes = Finishes()
    notches: Notches = Notches()
    labels: Labels = Labels()
    pen: PenLines = PenLines()
    panels: dict[str, PanelEntry] = Field(default_factory=dict)
    tolerances: Tolerances = Tolerances()
    seam: tuple[SeamEntry, ...] = Field((), description="each [[seam]] joins two edges")
    pocket: tuple[PocketEntry, ...] = ()
    zip: tuple[ZipEntry, ...] = ()
    edge_rope: tuple[EdgeRopeEntry, ...] = ()
    window: tuple[WindowEntry, ...] = ()
    patch: tuple[PatchEntry, ...] = ()
    binding: tuple[BindingEntry, ...] = ()
    webbings: dict[str, WebbingKind] = Field(default_factory=dict)
    webbing: tuple[WebbingEntry, ...] = ()
    fastener: tuple[FastenerEntry, ...] = ()
    thread: ThreadEntry = ThreadEntry()
    prices: Prices = Prices()
    sewing: tuple[SewingEntry, ...] = Field((), description="words about the order of sewing")

    @field_validator("units")
    @classmethod
    def _known_unit(cls, units: str | None) -> str | None:
        if units is not None:
            try:
                unit_factor(units)
            except Exception as error:
                raise ValueError(f"{error}".replace("\n", ". ")) from error
        return units

    @field_validator("corner_angle")
    @classmethod
    def _turning(cls, angle: float) -> float:
        if not 0 < angle < math.pi:
            raise ValueError("must be between 0 and 180 degrees")
        return angle
