"""Slits, corners and discs cut with the pivot on the line tell how far a blade's tip trails.

The pivot goes where the file says, so the tip stays behind by the offset d: two slits that end at
one told place, met from both sides, leave 2 d between them; a corner is cut short along a tractrix;
a circle of radius R becomes one of √(R² − d²) (plane geometry).
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from cutpath.bench.choosing import CannotError, chosen, pen_of
from cutpath.bench.form_values import length_text
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import Hand, hand_of
from cutpath.bench.pattern_model import Frame, Gauge, Inset, Label, Pattern, Wish
from cutpath.geometry.chain import Chain, arc, joined, line
from cutpath.geometry.points import Point, direction
from cutpath.model import Role, Toolpath
from cutpath.settings.profile import Profile

TURNS = (30, 60, 90, 120, 150)
"""Degrees that the corners turn."""
RADII = (5.0, 10.0)
_SIZE = (330.0, 190.0)
_LEG, _SLIT, _HOOK, _SIGHT = 30.0, 40.0, 10.0, (4.0, 26.0)
_LARGEST = 4.0
"""mm; slits are too short for a blade that trails more."""


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern, written with the tool's blade offset and overcut switched off."""
    name = chosen(profile, wish.tool, [Role.KNIFE], "a drag knife")
    tool = profile.tools[name]
    if tool.turned:
        raise CannotError(f"the file turns the blade of '{name}': there is no trail to find")
    if tool.blade_offset > _LARGEST:
        raise CannotError(f"its blade trails more than {_LARGEST:g} mm, too far for the slits")
    room_for(ground, wish.size, _SIZE, _SIZE)
    bare = profile.model_copy(
        update={"tools": {**profile.tools, name: tool.model_copy(update=_BARE)}}
    )
    hand = hand_of(bare, ground, name, "blade")
    strokes: list[Toolpath] = []
    gauges: list[Gauge] = []
    for part in (_slits, _corners, _discs):
        more, found = part(hand)
        strokes += more
        gauges += found
    labels = [Label(gauge.letter, gauge.spot) for gauge in gauges if gauge.spot is not None]
    return Pattern(
        name="blade",
        title="Blade offset",
        finds="how far a drag blade's tip trails behind its pivot",
        profile=bare,
        frames=(Frame("", tuple(strokes), tuple(labels) if pen_of(profile) else ()),),
        gauges=tuple(gauges),
        instruments=(
            "a loupe with a scale of tenths, a caliper for the discs",
            "firm film or thin card on the mat, so that slits stay closed",
        ),
        steps=(
            "Run the file with the blade that you will cut with. Here its pivot runs on the line, "
            "so corners come out cut short: that is what is measured.",
            "X1, X2, Y1, Y2: two slits point at each other. Measure the bridge of uncut film "
            "between their ends: twice the offset, and the axis's play (pattern 'backlash').",
            "C30 to C150: the slits outside a corner point at the true corner, where they would "
            "cross. Measure from there to the cut, along the line that halves the corner's inside.",
            "R5, R10: press the discs out and measure them with the caliper across both diagonals, "
            "halfway between x and y (there play cancels). Write the mean.",
            "The bridges tell most. Corners and discs show whether the blade swivels freely: when "
            "they do not agree, clean the holder and its bearing.",
        ),
        settings={"tool": name, "blade_offset": length_text(tool.blade_offset)},
        uncertainty=0.1,
        insets=(_inset(),),
    )


_BARE = {"blade_offset": 0.0, "overcut": 0.0, "lift_angle": None, "least_radius": 0.0,
         "overlap": 0.0, "lead_in": 0.0, "kerf": 0.0}  # fmt: skip


def _slits(hand: Hand) -> tuple[list[Toolpath], list[Gauge]]:
    """Give pairs of slits that end at one place, told, and meet it from both sides.

    Each begins with a hook: a blade that is sent straight back would be pushed tip first.
    """
    strokes: list[Toolpath] = []
    gauges = []
    spots = {"x1": (50.0, 15.0), "x2": (50.0, 35.0), "y1": (118.0, 50.0), "y2": (148.0, 50.0)}
    for key, spot in spots.items():
        at, way = np.array(spot), np.eye(2)["xy".index(key[0])]
        aside = _HOOK * way[::-1] * (-1.0 if key[1] == "1" else 1.0)
        for sign in (1.0, -1.0):
            begin = at - sign * _SLIT * way
            chain = joined([line(begin + aside, begin), line(begin, at)])
            strokes.append(hand.stroke(chain))
        words = f"bridge along {key[0]}"
        beside = at + (7.0 if key[0] == "x" else 11.0) * way[::-1]
        gauges.append(Gauge(f"gap_{key}", key.upper(), words, (at,), None, spot=beside))
    return strokes, gauges


def _corners(hand: Hand) -> tuple[list[Toolpath], list[Gauge]]:
    """Give corners with two slits outside each that point at the true corner."""
    strokes: list[Toolpath] = []
    gauges = []
    for column, degrees in enumerate(TURNS):
        at = np.array([38.0 + 62.0 * column, 122.0])
        into = direction(0.0)
        out = direction(math.radians(degrees))
        near, far = _SIGHT
        strokes.append(hand.stroke(joined([line(at - _LEG * into, at), line(at, at + _LEG * out)])))
        strokes.append(hand.line(at + far * into, at + near * into))
        strokes.append(hand.line(at - far * out, at - near * out))
        words = f"corner, turn of {degrees}°"
        beside = at + np.array([-24.0, -6.0])
        gauges.append(Gauge(f"corner_{degrees}", f"C{degrees}", words, (at,), None, spot=beside))
    return strokes, gauges


def _discs(hand: Hand) -> tuple[list[Toolpath], list[Gauge]]:
    """Give circles, run into on a tangent and gone round one and a half times."""
    strokes = []
    gauges = []
    for number, radius in enumerate(RADII):
        middle = np.array([205.0 + 60.0 * number, 45.0])
        start = middle - (0.0, radius)
        lead = line(start - (15.0, 0.0), start)
        turns = [
            arc(middle, radius, -math.pi / 2, math.tau),
            arc(middle, radius, -math.pi / 2, 3.0),
        ]
        strokes.append(hand.stroke(joined([lead, *turns])))
        beside = middle + np.array([0.0, radius + 7.0])
        words = f"disc of radius {radius:g}: mean of both diagonals"
        gauges.append(
            Gauge(f"circle_{radius:g}", f"R{radius:g}", words, (middle,), 2 * radius, spot=beside)
        )
    return strokes, gauges


def _inset() -> Inset:
    """Draw the bridge and a corner as they come out, much enlarged."""
    d = 1.0
    slits = (line((-8, 0), (-d, 0)), line((d, 0), (8, 0)))
    t = np.linspace(0.0, 6.0, 60)
    tractrix = np.column_stack([-d / np.cosh(t), d * (t - np.tanh(t))])
    corner, x, y = np.array([17.0, -4.0]), *np.eye(2)
    cut = [*tractrix]
    path = [
        line(corner - 7 * x, corner + cut[0]),
        *(line(corner + a, corner + b) for a, b in pairwise(cut)),
        line(corner + cut[-1], corner + 8 * y),
    ]
    sights = (line(corner + (1.6 * x), corner + 7 * x), line(corner - 1.6 * y, corner - 5 * y))
    marks = (
        line((-d, 0.8), (-d, 3)), line((d, 0.8), (d, 3)), line((-d, 2.4), (d, 2.4)),
        line(corner, corner + _halving(tractrix)),
    )  # fmt: skip
    words = (("2 × offset", 0.0, 4.2), ("true corner", 21.2, -3.2), ("C90", 15.2, -1.6))
    caption = (
        "Left: the bridge between two slits. Right: a corner; the outer slits point at the true "
        "corner, and the short line is the length to measure."
    )
    return Inset(
        "What to measure, enlarged",
        (*marks, *_spot(corner)),
        (*slits, *path, *sights),
        words,
        caption,
    )


def _spot(at: Point) -> tuple[Chain, Chain]:
    """Give a small cross at the true corner."""
    a, b = np.array([0.45, 0.45]), np.array([0.45, -0.45])
    return line(at - a, at + a), line(at - b, at + b)


def _halving(curve: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Point:
    """Give where the line that halves a corner of 90° meets the curve."""
    nearest = int(np.abs(curve[:, 0] + curve[:, 1]).argmin())
    return np.asarray(curve[nearest])
