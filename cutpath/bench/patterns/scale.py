"""Nine crosses in a rectangle tell whether x and y are true and stand square."""

from __future__ import annotations

import numpy as np

from cutpath.bench.choosing import LINES, chosen, pen_of
from cutpath.bench.form_values import lengths
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import Hand, hand_of
from cutpath.bench.pattern_model import Frame, Gauge, Label, Pattern, Wish
from cutpath.geometry.points import Point
from cutpath.model import Toolpath
from cutpath.settings.profile import Profile

ARM = 8.0
_LEAST = (120.0, 120.0)
_GUIDE = (26.0, 42.0)
"""From where to where, mm from a corner's cross, a tick points along the diagonal."""
_READINGS = (
    ("near", "A", "C", "along x, least y"),
    ("middle_x", "D", "F", "along x, middle"),
    ("far", "G", "I", "along x, most y"),
    ("left", "A", "G", "along y, least x"),
    ("middle_y", "B", "H", "along y, middle"),
    ("right", "C", "I", "along y, most x"),
    ("rising", "A", "I", "diagonal, rising"),
    ("falling", "G", "C", "diagonal, falling"),
)


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern: every cross is drawn alike and come to alike, so that play cancels."""
    name = chosen(profile, wish.tool, LINES, "a pen, a knife or a hot blade")
    width, height = room_for(ground, wish.size, _LEAST)
    hand = hand_of(profile, ground, name, "scale")
    places = crosses(width, height)
    strokes: list[Toolpath] = [] if not hand.tool.blade_offset else [_turned_ready(hand)]
    for at in places.values():
        strokes += hand.cross(at, ARM)
    strokes += [hand.line(a, b) for a, b in _guides(places)]
    labels = [
        Label(letter, at + 14.0, 6.0, outside=True)
        for letter, at in places.items()
        if pen_of(profile)
    ]
    gauges = [
        Gauge(key, f"{a}–{b}", words, (places[a], places[b]), _apart(places[a], places[b]))
        for key, a, b, words in _READINGS
    ]
    return Pattern(
        name="scale",
        title="Scale and squareness",
        finds="whether lengths along x and y are true, and whether the axes stand square",
        profile=profile,
        frames=(Frame("", tuple(strokes), tuple(labels)),),
        gauges=tuple(gauges),
        instruments=(
            "a steel rule or steel tape as long as the diagonal, and a loupe",
            "a sheet that does not stretch: film or board, not cloth or damp paper",
        ),
        steps=(
            "Fix the sheet flat all round, run the file, and do not move the sheet before all "
            "is measured.",
            "Measure from the middle of one cross to the middle of the other, with the loupe at "
            "both ends. Begin at the rule's 100 mm line, not at its end, and take 100 mm off.",
            "Lay a tape straight and pull it alike each time. Read to 0.1 mm where the rule lets "
            "you; else write the uncertainty you trust into the form.",
            "All eight lengths are worth measuring; three (A–C, A–G and a diagonal) are the least. "
            "Is the rule shorter? Make the pattern again with --size 600mmx400mm.",
        ),
        settings={"tool": name, "size": lengths((width, height))},
        uncertainty=0.1 if max(width, height) <= 1000 else 0.3,
    )


def crosses(width: float, height: float) -> dict[str, Point]:
    """Give the places of the crosses, A to I, row by row from the corner of least x and y."""
    return {
        "ABCDEFGHI"[3 * row + column]: np.array([column * width / 2, row * height / 2])
        for row in range(3)
        for column in range(3)
    }


def _turned_ready(hand: Hand) -> Toolpath:
    """Give a slit beside the first cross that turns the blade as every other cross leaves it."""
    return hand.line((ARM + 8.0, -ARM), (ARM + 8.0, ARM))


def _guides(places: dict[str, Point]) -> list[tuple[Point, Point]]:
    """Give short ticks at the corners that point along the diagonals."""
    out = []
    for here, there in (("A", "I"), ("I", "A"), ("C", "G"), ("G", "C")):
        way = places[there] - places[here]
        way = way / np.hypot(*way)
        out.append((places[here] + _GUIDE[0] * way, places[here] + _GUIDE[1] * way))
    return out


def _apart(a: Point, b: Point) -> float:
    return float(np.hypot(*(b - a)))
