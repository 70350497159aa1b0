"""Cutting chains at stations and joints."""

from __future__ import annotations

import itertools
import math

import numpy as np

from cutpath.geometry.chain import Chain, make_chain, opened
from cutpath.geometry.flatten import points_at
from cutpath.geometry.measure import joint_stations, locate
from cutpath.geometry.points import Floats, locked

_SAME = 1e-9


def with_joints_at(chain: Chain, stations: Floats) -> Chain:
    """Give the same curve with a joint at each of ``stations``, mm along it."""
    owner, parameter = locate(chain, np.unique(stations))
    inner = (parameter > _SAME) & (parameter < 1 - _SAME)
    owner, parameter = owner[inner], parameter[inner]
    joints: list[Floats] = []
    bulges: list[Floats] = []
    handles: list[Floats] = []
    done = 0
    for index in np.unique(owner).tolist():
        kept = slice(done, index)
        cut = _split_segment(chain, index, parameter[owner == index])
        joints += [chain.points[kept], cut[0]]
        bulges += [chain.bulges[kept], cut[1]]
        handles += [chain.handles[kept], cut[2]]
        done = index + 1
    return make_chain(
        np.concatenate([*joints, chain.points[done:]]),
        np.concatenate([*bulges, chain.bulges[done:]]),
        np.concatenate([*handles, chain.handles[done:]]),
        closed=chain.closed,
    )


def _split_segment(chain: Chain, index: int, inside: Floats) -> tuple[Floats, Floats, Floats]:
    """Give start joints, bulges and handles of segment ``index`` cut at ``inside`` parameters."""
    count = len(inside) + 1
    steps = np.diff(np.concatenate([[0.0], inside, [1.0]]))
    nothing = np.full((count, 2, 2), np.nan)
    start, end = chain.starts[index], chain.ends[index]
    if chain.is_cubic[index]:
        return _split_cubic(chain, index, inside)
    if not chain.is_arc[index]:
        joints = start + np.concatenate([[0.0], inside])[:, None] * (end - start)
        return joints, np.zeros(count), nothing
    at = np.concatenate([[0.0], inside])
    joints = points_at(chain, np.full(count, index), at)
    joints[0] = start
    quarter = math.atan(chain.bulges[index])
    return joints, np.tan(quarter * steps), nothing


def _split_cubic(chain: Chain, index: int, inside: Floats) -> tuple[Floats, Floats, Floats]:
    rest = [chain.starts[index], *chain.handles[index], chain.ends[index]]
    joints, handles, done = [], [], 0.0
    for parameter in inside:
        t = (parameter - done) / (1 - done)
        left, rest = _de_casteljau(rest, t)
        joints.append(left[0])
        handles.append(left[1:3])
        done = parameter
    joints.append(rest[0])
    handles.append(rest[1:3])
    return np.array(joints), np.zeros(len(joints)), np.array(handles)


def _de_casteljau(points: list[Floats], t: float) -> tuple[list[Floats], list[Floats]]:
    p0, p1, p2, p3 = points
    q0, q1, q2 = p0 + t * (p1 - p0), p1 + t * (p2 - p1), p2 + t * (p3 - p2)
    r0, r1 = q0 + t * (q1 - q0), q1 + t * (q2 - q1)
    s = r0 + t * (r1 - r0)
    return [p0, q0, r0, s], [s, r1, q2, p3]


def between_joints(chain: Chain, first: int, last: int) -> Chain:
    """Give segments ``first`` up to but not including ``last`` of an open chain."""
    return Chain(
        locked(chain.points[first : last + 1].copy()),
        locked(chain.bulges[first:last].copy()),
        locked(chain.handles[first:last].copy()),
        closed=False,
    )


def cut_at(chain: Chain, stations: Floats) -> list[Chain]:
    """Cut an open chain (or a closed one, opened at its start) at ``stations`` into open parts.

    Stations within 1e-6 mm of an end or of each other are taken as one.
    """
    chain = opened(chain)
    whole = joint_stations(chain)[-1]
    wanted = np.unique(np.clip(stations, 0.0, whole))
    wanted = wanted[(wanted > 1e-6) & (wanted < whole - 1e-6)]
    cut = with_joints_at(chain, wanted)
    at = joint_stations(cut)
    marks = [0, *(int(np.abs(at - station).argmin()) for station in wanted), len(cut)]
    return [
        between_joints(cut, first, last)
        for first, last in itertools.pairwise(marks)
        if last > first
    ]


def sub_chain(chain: Chain, start: float, end: float) -> Chain:
    """Give the part of an open chain from station ``start`` to ``end`` (start < end), mm.

    Raises ValueError when nothing lies between.
    """
    parts = cut_at(chain, np.array([start, end]))
    skip = 1 if start > 1e-6 else 0
    if end - start <= 1e-6 or skip >= len(parts):
        raise ValueError("nothing lies between the stations")
    return parts[skip]
