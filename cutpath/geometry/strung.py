"""Many chains laid into one, so that whole-array work does for all of them at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, opened
from cutpath.geometry.points import Floats, Ints, locked


@dataclass(frozen=True, slots=True, eq=False)
class Strung:
    """All segments of many chains in ``chain``, with lines between that belong to none.

    ``rows`` (m,) are the segments of ``chain`` that were drawn and ``owner`` (m,) the chain that
    each comes from; chain number k has ``rows[begin[k]:end[k]]``.
    """

    chain: Chain
    rows: Ints
    owner: Ints
    begin: Ints
    end: Ints


def strung(chains: Sequence[Chain]) -> Strung:
    """Lay ``chains`` end to end, closed ones opened. Raises ValueError for none."""
    if not chains:
        raise ValueError("no chains to string")
    counts = np.array([len(chain.bulges) for chain in chains])
    end = np.cumsum(counts)
    owner = np.repeat(np.arange(len(chains)), counts)
    # Before the segments of chain number k lie k lines that only lead from chain to chain.
    rows = np.arange(end[-1]) + owner
    bulges = np.zeros(end[-1] + len(chains) - 1)
    handles = np.full((len(bulges), 2, 2), np.nan)
    bulges[rows] = np.concatenate([chain.bulges for chain in chains])
    handles[rows] = np.concatenate([chain.handles for chain in chains])
    points = np.concatenate([opened(chain).points for chain in chains])
    whole = Chain(locked(points), locked(bulges), locked(handles), closed=False)
    return Strung(whole, rows, owner, end - counts, end)


def totals(soup: Strung, values: Floats) -> Floats:
    """Sum ``values``, one for each of the drawn segments (m,), over each chain, (n,)."""
    sums: Floats = np.bincount(soup.owner, values, len(soup.begin)).astype(np.float64)
    return sums
