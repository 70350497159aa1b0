"""How each number of a pocket came about, and what its maker should look at."""

from __future__ import annotations

import math

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.measure import length
from cutpath.model import Finding
from cutpath.part_model import Reason
from cutpath.parts.pocket_shape import Strip, bow_room
from cutpath.settings.part_tables.pocket import PocketEntry, Room

STRAIN = 0.02
"""Woven cloth takes this much in its length without a pleat (from memory)."""
_TOLD = 0.5
_GEOMETRY = "plane geometry"


def pocket_reasons(
    name: str, entry: PocketEntry, strip: Strip, inner_seam: float, folds: tuple[float, ...]
) -> list[Reason]:
    """Give the reasons of a pocket's widths, lengths, pleats or ease.

    ``folds`` are where pleats stand, mm from the strip's beginning.
    """
    girth = f"girth {entry.girth:g}" if entry.tube is None else f"π · {entry.tube:g}"
    seams = f"{strip.width:.1f} + seams {inner_seam:g} + {entry.seam:g}"
    out = [
        Reason(
            name, "width between seams", strip.width, "mm", f"{girth} + ease {entry.ease:g}",
            "plane geometry: the tube's girth; the ease: common practice, no source",
        ),
        Reason(
            name, "cut width", strip.width + inner_seam + entry.seam, "mm", seams, _GEOMETRY
        ),
        Reason(
            name, "inner edge", strip.length, "mm",
            f"the panel's own edge less {entry.setbacks[0]:g} and {entry.setbacks[1]:g}",
            "measured; setbacks: common practice, no source",
        ),
        Reason(
            name, "outer edge", length(strip.outer), "mm",
            "offset of the inner edge: (R ± w) · θ on an arc", _GEOMETRY,
        ),
    ]  # fmt: skip
    if entry.bow:
        out.append(_bow_reason(name, entry, strip))
    return [*out, *_room_reasons(name, entry, strip, folds)]


def _bow_reason(name: str, entry: PocketEntry, strip: Strip) -> Reason:
    tube = (strip.width - entry.ease) / math.pi
    radius = (strip.length**2 / 4 + entry.bow**2) / (2 * entry.bow)
    return Reason(
        name, "room for the bow", bow_room(tube, entry.bow), "mm",
        f"2 √(s² + s · d) − d · arccos(r / (r + s)), s = {entry.bow:g} in the middle and 0 at the "
        f"ends of an arc of radius (c²/4 + s²) / 2s = {radius:.0f}, d = 2r = {tube:.4g}",
        "plane geometry: a loop from the seam round the bar; sagitta",
    )  # fmt: skip


def _room_reasons(
    name: str, entry: PocketEntry, strip: Strip, folds: tuple[float, ...]
) -> list[Reason]:
    out = []
    if folds:
        told = ", ".join(f"{at:.0f}" for at in folds)
        out += [
            Reason(
                name, "pleats", float(len(folds)), "",
                f"w · θ = {strip.longer:.1f} mm taken up by pleats of {entry.pleat:g} at most, at "
                f"{told} mm along",
                "plane geometry; their size: common practice, no source",
            ),
            Reason(
                name, "pleat depth", strip.longer / len(folds), "mm",
                f"{strip.longer:.1f} / {len(folds)}", _GEOMETRY,
            ),
        ]  # fmt: skip
    elif strip.longer > _TOLD:
        share = 100 * strip.longer / strip.length
        out.append(
            Reason(
                name, "ease of the outer edge", strip.longer, "mm",
                f"w · θ, spread over {strip.length:.0f}: {share:.1f} %", _GEOMETRY,
            )
        )  # fmt: skip
    if strip.shorter > _TOLD:
        out.append(
            Reason(
                name, "outer edge stretched by", strip.shorter, "mm",
                "w · θ where the edge bends inward", _GEOMETRY,
            )
        )  # fmt: skip
    return out


def pocket_findings(
    name: str, entry: PocketEntry, strip: Strip, bends: np.ndarray, place: Source
) -> list[Finding]:
    """Tell where the outer edge asks more of the cloth than it gives.

    ``bends`` are curvatures along the strip, + outward.
    """
    out = []
    outward, inward = float(bends.max()) * strip.width, -float(bends.min()) * strip.width
    if entry.room is Room.EASE and outward > STRAIN:
        out.append(
            Finding(
                f"'{name}': {100 * outward:.1f} % more cloth at its second seam than the edge is "
                f"long where it bends most; cloth takes {100 * STRAIN:g} % without a ripple",
                place,
                'Say room = "pleats".',
            )
        )
    if inward > STRAIN:
        out.append(
            Finding(
                f"'{name}': its second seam has {100 * inward:.1f} % less cloth than the edge is "
                "long where the edge bends inward most, and will pull there",
                place,
                "Cut the strip of a cloth that stretches, or make two pockets.",
            )
        )
    return out
