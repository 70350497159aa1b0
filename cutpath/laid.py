"""Frozen values of laying: lengths of cloth, and where pieces lie on them.

Everything is in mm: x along the warp from a length's end, y from its near edge.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stock:
    """One length of cloth to lay on: x along the warp from its end, y from its near edge, mm.

    ``length`` None stands for a new roll, bought as long as it is needed. Pieces lie between
    ``low`` and ``high`` across it, clear of ``flaws`` (x, y, length, width).
    """

    name: str
    length: float | None
    width: float
    low: float
    high: float
    flaws: tuple[tuple[float, float, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """Where one piece lies on ``stock``: ``x`` and ``y`` of the least corner of its cut line's box.

    ``turn`` is radians counter-clockwise from lying with its warp along the roll.
    """

    piece: str
    stock: int
    turn: float
    x: float
    y: float


@dataclass(frozen=True, slots=True, eq=False)
class Lay:
    """All pieces of one cloth in their places; ``gap`` mm is kept between cut lines."""

    cloth: str
    gap: float
    stocks: tuple[Stock, ...]
    places: tuple[Place, ...]
