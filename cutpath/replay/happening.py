"""What a machine of known faults really does when it is told what a file says.

Told places are read off the file; the carriage follows each with the play of its axis (the play
operator of hysteresis: it stands until the told place has gone half of the backlash past it, and is
then pushed along); from there x and y are stretched, y leans, and the tool lands its offset away.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from cutpath.geometry.chain import Chain, make_chain, stroked
from cutpath.geometry.flatten import flatten
from cutpath.geometry.points import Floats, Ints, Points, locked
from cutpath.moves import Reading, Stroke
from cutpath.replay.faults import Faults
from cutpath.replay.tracing import Spot

_CHORD = 0.0003  # mm that chords of told arcs may stray
_STILL = 1e-9  # mm; less is no move
_SURE = 0.02  # mm; the carriage's place must be known so well when a tool is lowered


@dataclass(frozen=True, slots=True, eq=False)
class Happening:
    """``reading`` is what really is done; ``unsure`` the first stroke begun in unknown play."""

    reading: Reading
    unsure: int | None = None


def happened(told: Reading, faults: Faults) -> Happening:
    """Give what a machine with ``faults`` does when its file is read as ``told``.

    Arcs come as chords that stray 0.0003 mm, unless they stay arcs. A stroke or a travel on which
    nothing moves is a chain of no length. At the start the carriage stands in the middle of its
    play.
    """
    if faults.none:
        return Happening(told)
    events = list(_events(told))
    strokes: list[Stroke] = []
    travel: list[Chain] = []
    done = _done_round if faults.keeps_arcs else _done_in_chords
    for event, (chain, headings) in zip(events, done(events, faults), strict=True):
        if event.stroke is not None:
            strokes.append(replace(event.stroke, chain=chain, headings=headings))
        else:
            travel.append(chain)
    reading = replace(told, strokes=tuple(strokes), travel=tuple(travel))
    return Happening(reading, _first_unsure(events, faults) if faults.has_play else None)


@dataclass(frozen=True, slots=True, eq=False)
class _Event:
    """One travel, or one stroke, in the order of the file."""

    tool: int
    chain: Chain
    stroke: Stroke | None = None


_Done = tuple[Chain, Floats | None]


def _events(told: Reading) -> Iterator[_Event]:
    done = 0
    for chain, (before, tool) in zip(told.travel, told.made, strict=True):
        for stroke in told.strokes[done:before]:
            yield _Event(stroke.tool, stroke.chain, stroke)
        done = before
        yield _Event(tool, chain)
    for stroke in told.strokes[done:]:
        yield _Event(stroke.tool, stroke.chain, stroke)


def _done_round(events: Sequence[_Event], faults: Faults) -> Iterator[_Done]:
    """Give what each event comes to where circles stay circles."""
    for event in events:
        chain = event.chain
        points = _landed(chain.points, np.array(faults.offsets.get(event.tool, (0.0, 0.0))), faults)
        moved = make_chain(points, chain.bulges, closed=chain.closed)
        yield moved, None if event.stroke is None else event.stroke.headings


def _done_in_chords(events: Sequence[_Event], faults: Faults) -> Iterator[_Done]:
    """Give what each event comes to as straight segments."""
    drawn = [_drawn(event) for event in events]
    counts = [len(points) for points, _ in drawn]
    points = np.concatenate([points for points, _ in drawn])
    headings = np.concatenate([headings for _, headings in drawn])
    owner = np.repeat(np.arange(len(drawn)), counts)
    if faults.has_play:
        points, headings, owner = _lagging(points, headings, owner, faults)
    shifts = np.array([faults.offsets.get(event.tool, (0.0, 0.0)) for event in events])
    points = _landed(points, shifts[owner], faults)
    moves = np.ones(len(points), dtype=np.bool_)
    moves[1:] = (owner[1:] != owner[:-1]) | (np.hypot(*np.diff(points, axis=0).T) > _STILL)
    points, headings, owner = points[moves], headings[moves], owner[moves]
    bounds = np.searchsorted(owner, np.arange(len(events) + 1)).tolist()
    for event, (a, b) in zip(events, pairwise(bounds), strict=True):
        stroke = event.stroke
        is_turned = stroke is not None and stroke.headings is not None and b - a > 1
        run = points[a:b] if b - a > 1 else np.repeat(points[a:b], 2, axis=0)
        yield stroked(run), locked(headings[a + 1 : b]) if is_turned else None


def _drawn(event: _Event) -> tuple[Points, Floats]:
    """Give an event's points, (n, 2), and the headings, (n, 2), of what leads to each of them."""
    chain, stroke = event.chain, event.stroke
    points = chain.points
    owner = np.arange(len(chain))
    if chain.is_arc.any():
        flat = flatten(chain, _CHORD)
        points, owner, share = flat.points, flat.owner[:-1], flat.parameter[:-1]
    headings = np.zeros((len(points), 2))
    if stroke is not None and stroke.headings is not None:
        headings[1:] = stroke.headings[owner]
        if chain.is_arc.any():
            # A chord has the direction that the arc has in the middle of it.
            ends = np.append(share[1:], 1.0)
            ends[ends == 0] = 1.0
            first, last = stroke.headings[owner].T
            middle = first + (last - first) * (share + ends) / 2
            bent = chain.is_arc[owner]
            headings[1:][bent] = np.stack([middle, middle], axis=1)[bent]
    return points, headings


def _landed(places: Points, shifts: Floats, faults: Faults) -> Points:
    """Give where tools land when the carriage is at ``places``, (n, 2)."""
    x, y = places.T
    leaning = faults.y_scale * y
    out = np.stack(
        [faults.x_scale * x + math.sin(faults.skew) * leaning, math.cos(faults.skew) * leaning],
        axis=1,
    )
    return np.asarray(out + shifts)


def _lagging(
    told: Points, headings: Floats, owner: Ints, faults: Faults
) -> tuple[Points, Floats, Ints]:
    """Give the carriage's places, with one more where an axis is first pushed within a segment."""
    halves = (faults.x_play / 2, faults.y_play / 2)
    held = np.stack(
        [_pushed(told[:, axis].tolist(), half) for axis, half in enumerate(halves)], axis=1
    )
    way, gone = np.diff(told, axis=0), np.diff(held, axis=0)
    # The share of each segment's way for which the axis stands: the rest of it is gone.
    rest = 1 - np.divide(np.abs(gone), np.abs(way), out=np.ones_like(way), where=way != 0)
    stands = np.clip(rest, 0.0, 1.0)
    inner = (stands > _STILL) & (stands < 1 - _STILL)
    inner &= (owner[1:] == owner[:-1])[:, None]
    row, axis = np.nonzero(inner)
    share = stands[row, axis]
    order = np.lexsort((share, row))
    row, share = row[order], share[order]
    pushed = np.maximum(share[:, None] - stands[row], 0.0)
    places = held[row] + pushed * way[row]
    out = np.insert(held, row + 1, places, axis=0)
    return (
        out,
        np.insert(headings, row + 1, headings[row + 1], axis=0),
        np.insert(owner, row + 1, owner[row]),
    )


def _pushed(told: Sequence[float], half: float) -> list[float]:
    """Give the carriage's place for each told one, mm: the play operator of half-width ``half``."""
    at = told[0]
    places = []
    for place in told:
        if place - at > half:
            at = place - half
        elif at - place > half:
            at = place + half
        places.append(at)
    return places


def _first_unsure(events: Sequence[_Event], faults: Faults) -> int | None:
    """Give the first stroke, by number, before which the play was not taken up, if there is one.

    Where the carriage stands in its play is unknown when the file begins, and after each change of
    tools, for which machine or operator may move it.
    """
    number, tool = -1, None
    bands: list[Spot] = []
    for event in events:
        if event.tool != tool:
            tool = event.tool
            bands = [(-math.inf, math.inf)] * 2
        if event.stroke is None:
            # The farther along a band's two ends are pushed, the nearer they come.
            halves = (faults.x_play / 2, faults.y_play / 2)
            for place in event.chain.points[1:]:
                bands = [
                    _squeezed(band, float(at), half)
                    for band, at, half in zip(bands, place, halves, strict=True)
                ]
            continue
        number += 1
        if any(high - low > _SURE for low, high in bands):
            return number
        bands = [(0.0, 0.0)] * 2  # settled from here on
    return None


def _squeezed(band: Spot, told: float, half: float) -> Spot:
    low, high = (max(told - half, min(told + half, end)) for end in band)
    return low, high
