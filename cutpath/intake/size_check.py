"""Is the drawing as large as it should be? A wrong unit is the costliest mistake of all."""

from __future__ import annotations

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.measure import bounds
from cutpath.model import Drawing, Finding
from cutpath.units import format_size

_SMALLEST, _LARGEST = 150.0, 12_000.0
"""Drawings of panels are rarely smaller or larger, mm (common practice, no source)."""
_SLIPS = (
    (25.4, "inches read as mm"),
    (1 / 25.4, "mm read as inches"),
    (10.0, "cm read as mm"),
    (1000.0, "m read as mm"),
    (1 / 1000.0, "mm read as m"),
    (96 / 72, "points read as CSS pixels"),
)


def drawing_size(drawing: Drawing) -> tuple[float, float]:
    """Give width and height of all curves together, mm."""
    if not drawing.curves:
        return 0.0, 0.0
    boxes = np.array([bounds(curve.chain) for curve in drawing.curves])
    size = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
    return float(size[0]), float(size[1])


def question_size(drawing: Drawing) -> tuple[Finding, ...]:
    """Ask about a size that a common slip with units would explain."""
    width, height = drawing_size(drawing)
    longest = max(width, height)
    if longest == 0 or _SMALLEST <= longest <= _LARGEST:
        return ()
    slips = [
        f"{words}: then {format_size(width * factor, height * factor)}"
        for factor, words in _SLIPS
        if _SMALLEST <= longest * factor <= _LARGEST
    ]
    likely = f" Perhaps {slips[0]}." if slips else ""
    return (
        Finding(
            f"the drawing is {format_size(width, height)}, read in {drawing.unit}; "
            f"is that right?{likely}",
            Source(file=drawing.file),
            "Say the unit with --units if it is not.",
        ),
    )
