"""Where the label and the grain arrow of a piece go: inside it, clear of everything drawn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain, line, polyline
from cutpath.geometry.measure import segment_lengths
from cutpath.geometry.points import Point, direction, left_of
from cutpath.geometry.room import Room
from cutpath.path.lettering import lettered, text_size

_CLEAR = 4.0
_SHRINK = (1.0, 0.75, 0.55, 0.4)
SMALLEST = 3.0
"""Letters are not made smaller than this, mm, unless asked: a pen's line would fill them."""
_ARROWS = (120.0, 80.0, 50.0, 30.0)
_ARROW_WIDTH = 8.0


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """Pen strokes of a label and a grain arrow; ``fits`` tells whether the words found room."""

    words: tuple[Chain, ...]
    arrow: tuple[Chain, ...]
    fits: bool


def label_piece(
    net: Chain, taken: Sequence[Chain], lines: Sequence[str], height: float, grain: float | None
) -> Label:
    """Place ``lines`` (capitals ``height`` mm, less where it must be) and an arrow along ``grain``.

    ``net`` is closed; ``taken`` are lines inside it to keep clear of. The second of ``lines`` is
    what the piece is called: without room for all, the first is left out, then all but that one.
    Height 0 writes nothing.
    """
    room = Room.inside(net, taken, _CLEAR)
    words: tuple[Chain, ...] = ()
    found = _place(room, net, lines, height) if height > 0 else None
    if found is not None:
        written, size, center, angle = found
        words = lettered(written, size, center, angle)
        width, tall = text_size(written, size)
        room = room.without(center, width + 2 * _CLEAR, tall + 2 * _CLEAR, angle)
    fits = found is not None or height <= 0 or not lines
    arrow: tuple[Chain, ...] = ()
    for size in [] if grain is None else _ARROWS:
        spot = room.place(size, _ARROW_WIDTH, [grain or 0.0])
        if spot is not None:
            arrow = _arrow(spot[0], spot[1], size)
            break
    return Label(words, arrow, fits)


def _place(
    room: Room, net: Chain, lines: Sequence[str], height: float
) -> tuple[Sequence[str], float, Point, float] | None:
    """Give the lines that fit, their height, centre and angle: all lines small before few large."""
    angles = _angles(net)
    sizes = [height * share for share in _SHRINK if height * share >= SMALLEST] or [height]
    for some in (lines, lines[1:], lines[1:2]):
        for size in sizes if some else ():
            placed = room.place(*text_size(some, size), angles)
            if placed is not None:
                return some, size, *placed
    return None


def _angles(net: Chain) -> list[float]:
    """Level first, then along the longest side, then upright; never upside down."""
    longest = int(segment_lengths(net).argmax())
    dx, dy = net.ends[longest] - net.starts[longest]
    along = math.atan2(float(dy), float(dx))
    along = (along + math.pi / 2) % math.pi - math.pi / 2
    return [0.0, along, math.pi / 2]


def _arrow(center: Point, angle: float, size: float) -> tuple[Chain, ...]:
    """Give a shaft with a head at both ends: the warp runs both ways."""
    ahead = direction(angle)
    side = left_of(ahead) * _ARROW_WIDTH / 2
    tip, tail = center + ahead * size / 2, center - ahead * size / 2
    back = ahead * _ARROW_WIDTH
    heads = [
        polyline(np.array([tip - back + side, tip, tip - back - side])),
        polyline(np.array([tail + back + side, tail, tail + back - side])),
    ]
    return (line(tail, tip), *heads)
