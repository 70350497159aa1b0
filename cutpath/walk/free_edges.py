"""Edges that nothing joins: how each may be finished, as a question to the maker."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.model import EdgeName, Panel
from cutpath.walk.sides import Side, side_of

_STRAIGHT = 0.05
"""A hem turns over easily on an edge that strays less than this share of its chord."""


@dataclass(frozen=True, slots=True)
class FreeEdge:
    """An edge without a partner: ``finish`` is the likeliest: "hem", "bound", "zip" or "raw".

    ``question`` asks for it in words; ``length`` is in mm, ``marks`` how many are on it.
    """

    name: EdgeName
    length: float
    marks: int
    finish: str
    question: str


def free_edges(panels: Sequence[Panel], sewn: Collection[EdgeName]) -> tuple[FreeEdge, ...]:
    """Give every edge of ``panels`` that is not among ``sewn``, in order."""
    return tuple(
        _free(name, side_of(panel, name), is_rim=len(panel.edges) == 1)
        for panel in panels
        for name in (EdgeName(panel.name, edge.name) for edge in panel.edges)
        if name not in sewn
    )


def _free(name: EdgeName, side: Side, *, is_rim: bool) -> FreeEdge:
    if is_rim:
        finish, question = "raw", "raw, bound, or turned in all round?"
    elif side.marks:
        finish, question = "zip", "free, yet marked: a zip?"
    elif is_straight(side):
        finish, question = "hem", "free: a hem, or bound?"
    else:
        finish, question = "bound", "free and bent: bound, or a hem?"
    return FreeEdge(name, side.length, len(side.marks), finish, question)


def is_straight(side: Side) -> bool:
    """Tell an edge that a plain hem can follow."""
    run = side.points[-1] - side.points[0]
    span = float(np.hypot(*run))
    away = side.points - side.points[0]
    off = np.abs(away[:, 0] * run[1] - away[:, 1] * run[0])
    return bool(span > 0 and off.max() <= _STRAIGHT * span**2)
