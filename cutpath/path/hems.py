"""Fold-back: the end of a hem is the mirror image, in its fold line, of what it will lie on.

At depth y beyond the fold, a straight side at interior angle θ ends at x = −y cot θ (outward +);
a second fold at depth h mirrors that again: x = −(2h − y) cot θ. Here the shapes themselves are
mirrored, so curved sides and the neighbours' allowances come out right without a formula.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, reversed_chain
from cutpath.geometry.measure import end_tangents, length
from cutpath.geometry.offset import extended, outward_normal, parallel, strip
from cutpath.geometry.points import Floats, Point
from cutpath.geometry.region import intersection, union
from cutpath.geometry.splitting import cut_at
from cutpath.geometry.transform import reflection, transformed

_NEAR_END = 3.0
"""How much of the hem, in hem widths, an end's mirror image may shape."""


@dataclass(frozen=True, slots=True)
class Hem:
    """What a hem adds: ``width`` mm in all, of which the outer ``turn_under`` is folded twice."""

    width: float
    turn_under: float


def folded_hem(
    edge: Chain, hem: Hem, at_start: bool, at_end: bool, lies_on: Sequence[Chain]
) -> tuple[Chain, ...]:
    """Give the hem along ``edge`` with its chosen ends shaped to lie on ``lies_on`` when folded.

    ``lies_on`` are the loops of the panel and its other allowances; an end that is not chosen
    stays square. The mirror is the edge's own tangent at that end: exact for a straight edge.
    """
    pieces: list[Chain] = []
    for part, end in _parts(edge, hem, at_start, at_end):
        if end is None:
            pieces.append(strip(part, hem.width))
        else:
            pieces += _folded(part, hem, end, lies_on)
    return union(pieces)


@dataclass(frozen=True, slots=True, eq=False)
class _Fold:
    """The fold line at one end of a hem."""

    through: Point
    along: Floats


def _parts(edge: Chain, hem: Hem, at_start: bool, at_end: bool) -> list[tuple[Chain, _Fold | None]]:
    """Cut the edge into the ends that are shaped and the rest; shaped ends are run on."""
    whole = length(edge)
    reach = min(_NEAR_END * hem.width, whole / (2 if at_start and at_end else 1))
    first, last = end_tangents(edge)
    run_on = 6 * hem.width
    cuts = [reach] if at_start and reach < whole else []
    if at_end and whole - reach > (cuts[-1] if cuts else 0.0) + 1e-9:
        cuts.append(whole - reach)
    parts = cut_at(edge, np.array(cuts)) if cuts else [edge]
    out: list[tuple[Chain, _Fold | None]] = [(part, None) for part in parts]
    if at_start:
        out[0] = (extended(parts[0], run_on, 0.0), _Fold(edge.first, first))
    if at_end:
        index = len(parts) - 1
        out[index] = (extended(out[index][0], 0.0, run_on), _Fold(edge.last, last))
    return out


def _folded(part: Chain, hem: Hem, fold: _Fold, lies_on: Sequence[Chain]) -> list[Chain]:
    outward = outward_normal(fold.along)
    depth = hem.width - hem.turn_under
    first = intersection([strip(part, depth)], _mirrored(lies_on, fold.through, fold.along))
    if hem.turn_under <= 0:
        return list(first)
    second_line = fold.through + depth * outward
    below = _mirrored([*lies_on, *first], second_line, fold.along)
    second = intersection([strip(parallel(part, depth), hem.turn_under)], below)
    return [*first, *second]


def _mirrored(loops: Sequence[Chain], through: Point, along: Floats) -> list[Chain]:
    matrix = reflection(through, along)
    return [reversed_chain(transformed(loop, matrix)) for loop in loops]


def folds_cleanly(turn: float) -> bool:
    """Tell whether a corner turns enough (30° to 150°) for a hem's end to be a mirror image."""
    return math.radians(30) <= turn <= math.radians(150)
