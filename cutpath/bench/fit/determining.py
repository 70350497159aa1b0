"""Whether the readings settle every value they should, and which reading would."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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
    left: Sequence[Unknown],
    seen: Sequence[Observation],
    others: Sequence[Observation],
    known: Mapping[str, Unknown],
    values: Values,
) -> list[list[str]]:
    """Give what to read of ``others`` so that the values ``left`` open are settled.

    Each member names up to three readings, one of which will do; one is needed of every member.
    ``known`` are the unknowns that may be asked for. What nothing settles has no member.
    """
    found: list[list[str]] = []
    taken = list(seen)
    for unknown in left:
        if unknown not in _open_after(taken, known, values, left):
            continue
        ways = [
            each
            for each in others
            if unknown not in _open_after([*taken, each], known, values, left)
        ]
        if ways:
            found.append([each.name for each in ways[:_MOST_NAMED]])
            taken.append(ways[0])
    return found


def _open_after(
    seen: Sequence[Observation],
    known: Mapping[str, Unknown],
    values: Values,
    left: Sequence[Unknown],
) -> list[Unknown]:
    names = {unknown.name for unknown in left} | {name for each in seen for name in each.about}
    unknowns = [unknown for name, unknown in known.items() if name in names]
    return open_values(slopes(seen, unknowns, values), unknowns)
