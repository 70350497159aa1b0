"""The mean of two curves, run alike from start to end."""

from __future__ import annotations

import numpy as np

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.flatten import points_at
from cutpath.geometry.measure import joint_stations, locate, segment_lengths, tangents
from cutpath.geometry.points import Bools, Floats, Ints, Points

_CLOSE = 1e-3
_MOST_HALVINGS = 8


def mean_chain(one: Chain, other: Chain, knots: Points | None = None) -> Chain:
    """Give the curve half-way between two open chains, place by place along both.

    Places correspond by their share of the length, or piecewise so between ``knots``, (k, 2): the
    stations of k places on ``one`` and on ``other``, increasing. Straight parts stay straight;
    curved ones become cubics within 0.001 mm of the mean.

    Raises ValueError for a closed chain or knots out of order.
    """
    if one.closed or other.closed:
        raise ValueError("only open chains have a mean")
    ends = np.array([joint_stations(one)[-1], joint_stations(other)[-1]])
    pins = np.zeros((0, 2)) if knots is None else np.asarray(knots, dtype=np.float64)
    rails = np.concatenate([np.zeros((1, 2)), pins, ends[None]])
    if (np.diff(rails, axis=0) < 0).any():
        raise ValueError("knots must come in order along both chains")
    rails = rails[np.concatenate([[True], (np.diff(rails, axis=0) > 1e-9).all(axis=1)])]
    rails[-1] = ends
    here = joint_stations(one)
    there = np.interp(joint_stations(other), rails[:, 1], rails[:, 0])
    cuts = _apart(np.sort(np.concatenate([here, there, rails[:, 0]])))
    for _ in range(_MOST_HALVINGS):
        mean, off = _hermite_mean(one, other, cuts, np.interp(cuts, rails[:, 0], rails[:, 1]))
        if off.max() <= _CLOSE:
            break
        middles = (cuts[:-1] + cuts[1:])[off > _CLOSE] / 2
        cuts = np.sort(np.concatenate([cuts, middles]))
    return mean


def _apart(stations: Floats) -> Floats:
    keep = np.concatenate([[True], np.diff(stations) > 1e-6])
    return np.concatenate([stations[keep][:-1], stations[-1:]])


def _hermite_mean(one: Chain, other: Chain, here: Floats, there: Floats) -> tuple[Chain, Floats]:
    """Give cubics through the mean at the cuts, with its slopes, and how far each is off, mm."""
    a, b = _spans(one, here), _spans(other, there)
    starts, ends = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    out, into = (a[2] + b[2]) / 2, (a[3] + b[3]) / 2
    points = np.concatenate([starts, ends[-1:]])
    handles = np.stack([starts + out / 3, ends - into / 3], axis=1)
    straight = a[5] & b[5]
    handles[straight] = np.nan
    middle = (starts + ends) / 2 + np.where(straight[:, None], 0.0, (out - into) / 8)
    off = np.hypot(*(middle - (a[4] + b[4]) / 2).T)
    return make_chain(points, None, handles), off


def _spans(chain: Chain, cuts: Floats) -> tuple[Points, Points, Floats, Floats, Points, Bools]:
    """Give each span's start, end, slopes there (mm a span), middle, and whether it is straight."""
    low, high = cuts[:-1], cuts[1:]
    middle_owner, middle_at = locate(chain, (low + high) / 2)
    # The span lies within one segment: its ends are looked up there, on the right side of a joint.
    joints, sizes = joint_stations(chain), segment_lengths(chain)
    rows = middle_owner
    straight = ~(chain.is_arc[rows] | chain.is_cubic[rows])
    start = _parameter(chain, joints, sizes, rows, low)
    end = _parameter(chain, joints, sizes, rows, high)
    size = (high - low)[:, None]
    return (
        points_at(chain, rows, start), points_at(chain, rows, end),
        tangents(chain, rows, start) * size, tangents(chain, rows, end) * size,
        points_at(chain, rows, middle_at), straight,
    )  # fmt: skip


def _parameter(chain: Chain, joints: Floats, sizes: Floats, rows: Ints, stations: Floats) -> Floats:
    """Give the parameter on segments ``rows`` of stations that lie on them."""
    at = np.where(sizes[rows] > 0, (stations - joints[rows]) / np.maximum(sizes[rows], 1e-12), 0.0)
    found, parameter = locate(chain, stations)
    # A station on a joint is found on the segment after it; here it may end the one before.
    same = (found == rows) & chain.is_cubic[rows]
    at = np.where(same, parameter, at)
    return np.asarray(np.clip(at, 0.0, 1.0))
