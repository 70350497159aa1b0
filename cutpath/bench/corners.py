"""A place with two verniers: one reads shifts along x, one along y."""

from __future__ import annotations

import numpy as np

from cutpath.bench.pattern_model import Inset
from cutpath.bench.vernier import DEPTH, REACH, Vernier
from cutpath.geometry.points import Point

_HALF = DEPTH + 7.0
"""From a vernier's middle line to its outermost numbers, mm."""
FOOTPRINT = (2 * REACH + 2 * _HALF + 22.0, 2 * REACH + 10.0)
"""What both take along x and y, mm."""


def corner_verniers(corner: Point, overlap: float = 0.0) -> dict[str, Vernier]:
    """Give the verniers "x" and "y" that fill ``FOOTPRINT`` from its ``corner`` of least x and y.

    The slides lie on the + side.
    """
    x, y = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    middle = FOOTPRINT[1] / 2
    return {
        "x": Vernier(corner + np.array([REACH + 5, middle]), x, y, overlap),
        "y": Vernier(corner + np.array([2 * REACH + 20 + _HALF, middle]), y, x, overlap),
    }


def place_enlarged(number: int = 1) -> Inset:
    """Draw one place as it comes out on a machine without faults."""
    verniers = corner_verniers(np.zeros(2))
    words = [
        (label.text, float(label.at[0]), float(label.at[1]))
        for vernier in verniers.values()
        for label in vernier.labels()
    ]
    for axis, vernier in verniers.items():
        x, y = vernier.zero - (DEPTH + 12.0) * vernier.up
        words.append((f"{axis.upper()}{number}", float(x), float(y)))
    slides = tuple(tick for vernier in verniers.values() for tick in vernier.slide())
    scales = tuple(tick for vernier in verniers.values() for tick in vernier.scale())
    caption = "Heavy: the scale. Thin: the slide. Here nothing is shifted: both read 0."
    title = f"Place {number}, enlarged"
    return Inset(title, slides, scales, tuple(words), caption, on_bed=True)
