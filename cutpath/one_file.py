"""Frames that go out as one file, between which the machine itself moves the cloth on.

Part of the pipeline: it joins the frames of ``laying`` with their ordered strokes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

import numpy as np

from cutpath.effort import Ordered, order_load
from cutpath.geometry.points import Point
from cutpath.geometry.transform import Matrix, transformed, translation
from cutpath.model import Load, Piece, Role, Toolpath
from cutpath.moving import moved_piece
from cutpath.path.continuing import Continuation, continued
from cutpath.settings.profile import Profile
from cutpath.units import format_length


@dataclass(frozen=True, slots=True, eq=False)
class Sitting:
    """What one file cuts. ``load`` has the pieces of all its frames where they lie on the cloth.

    Both that and ``shown``, the strokes there, count as the bed does before the cloth has moved;
    the strokes of ``ordered`` count as the bed does in their own frames. ``beds`` are where
    on the cloth the bed's near left corner lies in each of them.
    """

    load: Load
    ordered: Ordered
    shown: tuple[Toolpath, ...]
    beds: tuple[tuple[float, float], ...]


def file_groups(loads: Sequence[Load]) -> list[list[Load]]:
    """Give the loads of each file: a load, and those that go on from it."""
    groups: list[list[Load]] = []
    for load in loads:
        if load.goes_on:
            groups[-1].append(load)
        else:
            groups.append([load])
    return groups


def file_numbers(groups: Sequence[Sequence[Load]]) -> list[tuple[str, int]]:
    """Give the cloth of each file, and the file's number among those of that cloth."""
    seen: Counter[str] = Counter()
    out = []
    for loads in groups:
        seen[loads[0].cloth] += 1
        out.append((loads[0].cloth, seen[loads[0].cloth]))
    return out


def sitting_of(
    number: int,
    loads: Sequence[Load],
    continuations: Mapping[tuple[str, int], Continuation],
    profile: Profile,
    rounds: int,
) -> Sitting:
    """Order the strokes of a file's frames, each from where the last one ended, and join them.

    They become load ``number`` of their cloth. ``continuations`` tell, by cloth and number, which
    loads go on with a piece longer than the bed.

    Raises MachineError where the machine has no tool for some work.
    """
    ordered: list[Ordered] = []
    at: Point | None = None
    for load in loads:
        ordered.append(_ordered(load, continuations, profile, rounds, at))
        strokes = ordered[-1].toolpaths
        at = strokes[-1].chain.last if strokes else at
    first = loads[0]
    if len(loads) == 1 and not first.advance:
        return Sitting(
            replace(first, number=number), ordered[0], ordered[0].toolpaths, ((0.0, 0.0),)
        )
    toolpaths = tuple(_joined(loads, ordered))
    pieces: dict[str, Piece] = {}
    starts = tuple(accumulate(load.advance for load in loads))
    for load, start in zip(loads, starts, strict=True):
        for piece in load.pieces:
            pieces.setdefault(piece.name, moved_piece(piece, _along(profile, start)))
    ways = ", ".join(format_length(load.advance) for load in loads if load.advance)
    frames = "1 frame" if len(loads) == 1 else f"{len(loads)} frames"
    note = f"{first.note}. {frames}; the machine moves the cloth on by {ways}"
    whole = replace(first, number=number, pieces=tuple(pieces.values()), note=note, advance=0.0)
    joined = ordered[0].with_toolpaths(toolpaths)
    run = (1.0, 0.0) if profile.bed.runs_right else (0.0, 1.0)
    beds = tuple((start * run[0], start * run[1]) for start in starts)
    return Sitting(whole, joined, tuple(_on_cloth(toolpaths, profile)), beds)


def _ordered(
    load: Load,
    continuations: Mapping[tuple[str, int], Continuation],
    profile: Profile,
    rounds: int,
    start: Point | None,
) -> Ordered:
    ordered = order_load(load, profile, rounds, start)
    how = continuations.get((load.cloth, load.number))
    if how is None:
        return ordered
    with_pen = profile.has_tool_for(Role.PEN)
    return ordered.with_toolpaths(continued(ordered.toolpaths, how, with_pen=with_pen))


def _joined(loads: Sequence[Load], ordered: Sequence[Ordered]) -> Iterator[Toolpath]:
    """Give the strokes of all frames; the first of each says how far the cloth moves before it."""
    waiting = 0.0
    for load, each in zip(loads, ordered, strict=True):
        waiting += load.advance
        for path in each.toolpaths:
            yield replace(path, advance=waiting) if waiting else path
            waiting = 0.0


def _on_cloth(toolpaths: Sequence[Toolpath], profile: Profile) -> Iterator[Toolpath]:
    """Give toolpaths of frames where they lie on the cloth, as the bed counts at first."""
    for path, far in zip(toolpaths, accumulate(path.advance for path in toolpaths), strict=True):
        if not far:
            yield path
            continue
        yield replace(path, chain=transformed(path.chain, _along(profile, far)))


def _along(profile: Profile, distance: float) -> Matrix:
    run = np.array([1.0, 0.0] if profile.bed.runs_right else [0.0, 1.0])
    return translation(*(distance * run).tolist())
