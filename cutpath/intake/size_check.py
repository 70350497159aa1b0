"""Is the drawing as large as it should be? A wrong unit is the costliest mistake of all."""

from __future__ import annotations

import re

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.measure import bounds
from cutpath.model import Drawing, Finding
from cutpath.units import MM_PER, format_size

_SMALLEST, _LARGEST = 150.0, 12_000.0
"""Drawings of panels are rarely smaller or larger, mm (common practice, no source)."""
_LENGTHS = ("mm", "in", "cm", "m")
_PIXELS = {"px": 25.4 / 96, "px90": 25.4 / 90, "px72": 25.4 / 72}
"""mm of a px: CSS has 96 to the inch; 90 and 72 are what drawing programs wrote before."""
_PX_UNIT = re.compile(r"px of 1/(\d+(?:\.\d+)?) in")


def drawing_size(drawing: Drawing) -> tuple[float, float]:
    """Give width and height of all curves together, mm."""
    if not drawing.curves:
        return 0.0, 0.0
    boxes = np.array([bounds(curve.chain) for curve in drawing.curves])
    size = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
    return float(size[0]), float(size[1])


def question_size(drawing: Drawing) -> tuple[Finding, ...]:
    """Ask about a size that is odd for panels, and name the units that would make it sensible."""
    width, height = drawing_size(drawing)
    longest = max(width, height)
    if longest == 0 or _SMALLEST <= longest <= _LARGEST:
        return ()
    others = [
        (name, factor)
        for name, factor in _other_units(drawing.unit)
        if _SMALLEST <= longest * factor <= _LARGEST
    ]
    asked = "".join(
        f" If it is {name}, it is {format_size(width * factor, height * factor)}."
        for name, factor in others
    )
    names = " or ".join(f"--units {name}" for name, _ in others)
    return (
        Finding(
            f"the drawing is {format_size(width, height)}, read in {drawing.unit}; "
            f"is that right?{asked}",
            Source(file=drawing.file),
            f"Say {names} if it is not." if names else "Check the scale of the drawing.",
        ),
    )


def _other_units(unit: str) -> list[tuple[str, float]]:
    """Give the units that a drawing may be in instead, and how many times as large it is then."""
    pixel = _PX_UNIT.fullmatch(unit)
    known = {name: MM_PER[name] for name in _LENGTHS}
    if pixel is not None:
        now = 25.4 / float(pixel[1])
        known |= _PIXELS
    elif unit in MM_PER:
        now = MM_PER[unit]
    else:
        return []
    return [(name, mm / now) for name, mm in known.items() if abs(mm - now) > 1e-9]
