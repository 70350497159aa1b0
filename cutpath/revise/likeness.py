"""Which panels of a job are mirror images of each other, though nobody said so."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cutpath.geometry.measure import length
from cutpath.geometry.points import Floats, Ints, Points
from cutpath.model import Panel
from cutpath.revise.laying import edge_samples

_LIKE = 0.005
"""Spread of the best fit over the outline's length, at most (our choice)."""
_CLEARLY = 0.5
"""... and it must be this much better than without turning over, or they are mere copies."""
_COPY = 0.5
"""Panels that lie on each other this well, mm, without turning over are copies."""
_BLOCK = 200

_Complex = NDArray[np.complex128]


def alike_pairs(panels: Sequence[Panel]) -> list[tuple[Panel, Panel]]:
    """Give panels that are each other's best mirror image, and not copies of one another."""
    out = []
    counts = np.array([len(panel.edges) for panel in panels])
    for count in np.unique(counts).tolist():
        group = np.flatnonzero(counts == count)
        out += _pairs_among([panels[index] for index in group.tolist()], group)
    return [(panels[one], panels[other]) for one, other in sorted(out)]


def _pairs_among(panels: Sequence[Panel], numbers: Ints) -> list[tuple[int, int]]:
    """Give the numbers of pairs among panels with as many edges each."""
    samples = np.stack([edge_samples(panel) for panel in panels])
    rims = np.array([sum(length(edge.chain) for edge in panel.edges) for panel in panels])
    best = np.full(len(panels), -1)
    least = np.full(len(panels), np.inf)
    for low in range(0, len(panels), _BLOCK):
        rows = np.arange(low, min(low + _BLOCK, len(panels)))
        turned, plain = (
            _spreads(samples[rows], samples, mirrored=True),
            _spreads(samples[rows], samples, mirrored=False),
        )
        is_like = (turned <= _LIKE * rims[rows, None]) & (turned <= _CLEARLY * plain)
        is_like &= plain >= _COPY
        is_like[np.arange(len(rows)), rows] = False
        turned[~is_like] = np.inf
        best[rows], least[rows] = turned.argmin(axis=1), turned.min(axis=1)
    return [
        (int(numbers[one]), int(numbers[other]))
        for one, other in enumerate(best.tolist())
        if one < other and best[other] == one and np.isfinite(least[[one, other]]).all()
    ]


def _spreads(here: Points, there: Points, *, mirrored: bool) -> Floats:
    """Give the least spread of every fit of (m, edges, k, 2) on (n, edges, k, 2) samples, (m, n).

    With centred places as complex numbers the best turn leaves Σ|a|² + Σ|b|² − 2 |Σ a* b|, and
    turned over |Σ a b| instead (the closed form of ``geometry.alignment.best_motion``).
    """
    a = _centred(here)
    sizes = np.sum(np.abs(a) ** 2, axis=1)
    count = there.shape[1]
    least = np.full((len(here), len(there)), np.inf)
    for shift in range(count):
        if mirrored:
            b = _centred(there[:, [(shift - i) % count for i in range(count)], ::-1])
            product = a @ b.T
        else:
            b = _centred(np.roll(there, -shift, axis=1))
            product = a.conj() @ b.T
        left = sizes[:, None] + np.sum(np.abs(b) ** 2, axis=1) - 2 * np.abs(product)
        least = np.minimum(least, left)
    return np.asarray(np.sqrt(np.maximum(least, 0.0) / a.shape[1]))


def _centred(samples: Points) -> _Complex:
    flat = samples.reshape(len(samples), -1, 2)
    places = flat[..., 0] + 1j * flat[..., 1]
    return np.asarray(places - places.mean(axis=1, keepdims=True))
