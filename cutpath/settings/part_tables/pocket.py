"""``[[pocket]]``, ``[[zip]]`` and ``[[edge_rope]]``: what is sewn along an edge."""

from __future__ import annotations

from enum import StrEnum

from pydantic import Field

from cutpath.settings.quantities import Extent, Size
from cutpath.settings.toml_file import Settings


class Room(StrEnum):
    """How the second seam takes up what the bend makes longer."""

    PLEATS = "pleats"
    EASE = "ease"


class PocketEntry(Settings):
    """A tube pocket along a run of edges, folded round the tube and sewn back on the same line.

    6 mm of ease, 50 mm free at each end, pleats of 10 mm (common practice, no source).
    """

    name: str = ""
    along: tuple[str, ...] = Field(min_length=1, description='edges in a run: "top/aft" …')
    tube: Size | None = Field(None, description="diameter of the tube or bar; or give its girth")
    girth: Size | None = Field(None, description="once round the tube, measured")
    ease: Extent = 6.0
    bow: Extent = Field(0.0, description="sagitta of a bent bar: how far its middle stands off")
    zipped: bool = Field(True, description="opened by a zip along its middle")
    sliders: int = Field(2, ge=1, le=4, strict=True)
    setbacks: tuple[Extent, Extent] = Field((50.0, 50.0), description="left free at both ends")
    seam: Extent = Field(12.7, description="allowance of the outer edge")
    end_hem: Extent = Field(12.7, description="turned once, then once more, at both ends")
    reinforce: Extent = Field(0.0, description="a second ply this far in from both ends")
    tape: Size = Field(30.0, description="width of the zip's tape on one side of the teeth")
    room: Room = Room.PLEATS
    pleat: Size = 10.0
    cloth: str | None = Field(None, description="a name among [cloths]; the panel's where not said")


class ZipEntry(Settings):
    """A zip along an edge, its tape snipped where the edge bends."""

    name: str = ""
    along: tuple[str, ...] = Field(min_length=1)
    tape: Size = Field(30.0, description="width of the tape on one side of the teeth")
    tail: Extent = Field(25.0, description="kept beyond both ends to be sewn in")
    sliders: int = Field(1, ge=1, le=4, strict=True)


class EdgeRopeEntry(Settings):
    """A slide-in edge rope (a cord in a strip of cloth) along an edge."""

    name: str = ""
    along: tuple[str, ...] = Field(min_length=1)
    rope: Size = Field(5.0, description="diameter of the cord")
    flap: Size = Field(15.0, description="flat strip beyond the cord")
    setbacks: tuple[Extent, Extent] = Field((10.0, 10.0), description="left free at both ends")
    split: Extent | None = Field(None, description="two strips with this gap at the centre")
    cloth: str | None = Field(None, description="cut the strip from this cloth, not bought")
