"""Labels in a row: kept in order and apart, each as near as can be to what it names."""

from __future__ import annotations

import itertools
from collections.abc import Sequence


def spread(
    wanted: Sequence[float], widths: Sequence[float], low: float, high: float
) -> list[float]:
    """Give middles for labels of ``widths`` that don't overlap and stay within ``low`` … ``high``.

    ``wanted`` ascend; the sum of squared shifts is least (isotonic regression by pooling adjacent
    violators: Barlow et al., "Statistical Inference under Order Restrictions", 1972). Labels
    that cannot all fit run out over ``high``: ask ``fit_in`` before.
    """
    # Taking off all widths before it turns "apart" into "in order".
    offsets = [0.0]
    for before, after in itertools.pairwise(widths):
        offsets.append(offsets[-1] + (before + after) / 2)
    blocks: list[tuple[float, int]] = []
    for place, offset in zip(wanted, offsets, strict=False):
        blocks.append((place - offset, 1))
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            (one, few), (other, more) = blocks[-2:]
            blocks[-2:] = [((one * few + other * more) / (few + more), few + more)]
    if not blocks:
        return []
    floor = low + widths[0] / 2
    ceiling = max(floor, high - widths[-1] / 2 - offsets[-1])
    pooled = [min(max(mean, floor), ceiling) for mean, count in blocks for _ in range(count)]
    return [place + offset for place, offset in zip(pooled, offsets, strict=True)]


def fit_in(widths: Sequence[float], room: float) -> bool:
    """Tell whether labels of ``widths`` fit side by side."""
    return sum(widths) <= room


def chosen(weights: Sequence[float], widths: Sequence[float], room: float) -> list[int]:
    """Give the indices of the labels that are kept where not all fit, in order.

    The heaviest are kept first; of equals every second, then every fourth …, so that what is left
    stays spread over the row.
    """
    order = sorted(range(len(widths)), key=lambda index: (-weights[index], _coarse(index), index))
    kept: list[int] = []
    used = 0.0
    for index in order:
        if used + widths[index] <= room:
            kept.append(index)
            used += widths[index]
    return sorted(kept)


def _coarse(index: int) -> int:
    """Rank numbers so that those divisible by more twos come first."""
    if index == 0:
        return -64
    return -((index & -index).bit_length())


def apart(places: Sequence[float], widths: Sequence[float], weights: Sequence[float]) -> list[int]:
    """Give the indices of labels that may stand where they are without overlap, in order."""
    order = sorted(range(len(places)), key=lambda index: (-weights[index], _coarse(index), index))
    kept: list[int] = []
    for index in order:
        if all(
            abs(places[index] - places[other]) >= (widths[index] + widths[other]) / 2
            for other in kept
        ):
            kept.append(index)
    return sorted(kept)
