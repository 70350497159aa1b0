"""Curves drawn twice, in either direction and from wherever a closed one begins."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.close_pairs import close_pairs
from cutpath.geometry.flatten import points_at
from cutpath.geometry.measure import segment_lengths
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Bools, Floats, Ints, Points
from cutpath.geometry.strung import Strung, totals

_PER_LENGTH = 1 / 8
_SAMPLES = (0.0, 0.25, 0.5, 0.75)
_GOLDEN = 0.6180339887


def doubles(chains: Sequence[Chain], soup: Strung, apart: float) -> list[int]:
    """Give for each chain the first that it is a copy of, within ``apart`` mm; itself if none is.

    ``soup`` is all of them strung. Short chains must be nearer than an eighth of their length.
    Raises OverflowError when more chains look alike than can be compared.
    """
    original = list(range(len(chains)))
    if len(chains) < 2:
        return original
    lengths = totals(soup, segment_lengths(soup.chain)[soup.rows])
    near = np.minimum(apart, lengths * _PER_LENGTH)
    first, second = close_pairs(_signs(soup, lengths), 3 * apart)
    closed = np.array([chain.closed for chain in chains])
    alike = closed[first] == closed[second]
    alike &= closed[first] | _ends_agree(soup, first, second, near[second])
    for a, b in zip(first[alike].tolist(), second[alike].tolist(), strict=True):
        if original[a] == a and original[b] == b and _same(chains[a], chains[b], float(near[b])):
            original[b] = a
    return original


def _ends_agree(soup: Strung, first: Ints, second: Ints, near: Floats) -> Bools:
    """Tell which pairs of open chains have the same two ends."""
    head = soup.chain.starts[soup.rows[soup.begin]]
    tail = soup.chain.ends[soup.rows[soup.end - 1]]
    a, b, c, d = head[first], tail[first], head[second], tail[second]
    along = np.maximum(np.hypot(*(a - c).T), np.hypot(*(b - d).T))
    against = np.maximum(np.hypot(*(a - d).T), np.hypot(*(b - c).T))
    return np.asarray(np.minimum(along, against) <= near)


def _signs(soup: Strung, lengths: Floats) -> Points:
    """Give a point for each chain that its copies share, (n, 2): its centroid, shifted by length.

    The shift parts concentric circles and the like, which would all have to be compared.
    """
    sizes = segment_lengths(soup.chain)[soup.rows]
    middles = points_at(soup.chain, soup.rows, np.full(len(soup.rows), 0.5))
    sums = np.stack([totals(soup, middles[:, axis] * sizes) for axis in (0, 1)], axis=1)
    return np.asarray(sums / lengths[:, None] + lengths[:, None] * np.array([0.5, -_GOLDEN]))


def _same(one: Chain, other: Chain, near: float) -> bool:
    a, b = _sampled(one), _sampled(other)
    if len(a) == len(b) and _runs_along(a, b, near, closed=one.closed):
        return True
    # Joints elsewhere, or an arc drawn as a cubic: all of each must lie on the other.
    return bool(
        (nearest(one, b).distance <= near).all() and (nearest(other, a).distance <= near).all()
    )


def _runs_along(a: Points, b: Points, near: float, *, closed: bool) -> bool:
    if not closed:
        return _within(a, b, near) or _within(a, b[::-1], near)
    for turned in (b, np.roll(b[::-1], 1, axis=0)):
        step = len(_SAMPLES)
        at = int(np.hypot(*(turned[::step] - a[0]).T).argmin()) * step
        if _within(a, np.roll(turned, -at, axis=0), near):
            return True
    return False


def _within(a: Points, b: Points, near: float) -> bool:
    return bool((np.hypot(*(a - b).T) <= near).all())


def _sampled(chain: Chain) -> Points:
    count = len(chain)
    owner = np.repeat(np.arange(count), len(_SAMPLES))
    points = points_at(chain, owner, np.tile(np.array(_SAMPLES), count))
    return points if chain.closed else np.concatenate([points, chain.points[-1:]])
