"""Which of many lines come near one another."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from cutpath.geometry.chain import Chain, opened
from cutpath.geometry.flatten import flatten

_FLATNESS = 0.05


def near_pairs(chains: Sequence[Chain], distance: float) -> list[tuple[int, int]]:
    """Give all pairs i < j of ``chains`` not more than ``distance`` mm apart, in order.

    Curves are taken as straight pieces to 0.05 mm, which is given on top.
    """
    if not chains:
        return []
    lines = np.array(
        [shapely.LineString(flatten(opened(chain), _FLATNESS).points) for chain in chains]
    )
    tree = shapely.STRtree(lines)
    first, second = tree.query(lines, predicate="dwithin", distance=distance + 2 * _FLATNESS)
    return sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j)
