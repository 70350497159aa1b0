"""Whether the readings settle every value they should, and which reading would."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.bench.fit.observing import Observation
from cutpath.bench.fit.solving import slopes
from cutpath.bench.fit.unknowns import Unknown, Values
from cutpath.geometry.points import Floats

_NOTHING = 1e-7
"""Singular values below this share of the largest say nothing."""
_IN = 1e-3
"""A value is in a direction that nothing settles when this much of it is."""
_MOST_NAMED = 3


def open_values(table: Floats, unknowns: Sequence[Unknown]) -> list[Unknown]:
    """Give the unknowns that ``table`` (slopes, by row) leaves open.

    By its singular values: one is open when it has a part in a direction that no reading feels, or
    when its uncertainty (19 of 20) is looser than its kind bears.
    """
    if not len(table):
        return list(unknowns)
    _, sizes, ways = np.linalg.svd(table)
    felt = np.zeros(len(unknowns), dtype=bool)
    felt[: len(sizes)] = sizes > _NOTHING * max(float(sizes.max(initial=0.0)), _NOTHING)
    unfelt = np.abs(ways[~felt]).max(axis=0, initial=0.0) > _IN
    spread = np.sqrt(((ways[felt] / sizes[felt[: len(sizes)], None]) ** 2).sum(axis=0))
    loose = [2 * s * u.kind.step > u.kind.loosest for s, u in zip(spread, unknowns, strict=True)]
    return [u for u, bad in zip(unknowns, unfelt | np.array(loose), strict=True) if bad]


def would_settle(
    unknown: Unknown,
    seen: Sequence[Observation],
    others: Sequence[Observation],
    unknowns: Sequence[Unknown],
    values: Values,
) -> list[str]:
    """Give the names of up to three readings of ``others`` any of which settles ``unknown``."""
    table = slopes(seen, unknowns, values)
    more = slopes(others, unknowns, values)
    found = [
        each.name
        for each, row in zip(others, more, strict=True)
        if unknown not in open_values(np.vstack([table, row]), unknowns)
    ]
    return found[:_MOST_NAMED]
