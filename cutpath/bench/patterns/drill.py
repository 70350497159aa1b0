"""Holes in windows of four lines tell where the drill lands, and how large its hole is."""

from __future__ import annotations

import numpy as np

from cutpath.bench.choosing import LINES, CannotError, chosen, pen_of, tools_of
from cutpath.bench.form_values import lengths
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import Hand, hand_of
from cutpath.bench.pattern_model import SIGNED, Frame, Gauge, Inset, Label, Pattern, Wish
from cutpath.geometry.chain import circle, line
from cutpath.geometry.points import Point
from cutpath.model import Role, Toolpath
from cutpath.settings.profile import Profile, Tool

PLACES = 3
_CLEAR = 3.0
"""mm between the hole's told edge and the window's lines."""
_USUAL_HOLE = 3.0
_USUAL = (240.0, 160.0)
_BESIDE = 18.0
"""mm from a hole to its letters."""


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern: windows by the finest tool that leaves a line, holes by the drill."""
    name = chosen(profile, wish.tool, [Role.DRILL], "a drill or a punch")
    lines = tools_of(profile, LINES)
    if not lines:
        raise CannotError("it needs a second tool that draws or cuts cross-hairs")
    drill, reference = hand_of(profile, ground, name, "drill"), lines[0]
    half = window_half(drill.tool)
    least = (4 * half * PLACES + 40.0, 4 * half + 60.0)
    size = room_for(ground, wish.size, least, _USUAL)
    hand = hand_of(profile, ground, reference, "drill")
    places = [
        np.array([2 * half + share * (size[0] - 4 * half), 2 * half + share * (size[1] - 4 * half)])
        for share in (0.0, 0.5, 1.0)
    ]
    marks = [stroke for at in places for stroke in _sight(hand, at, half)]
    gauges = [
        Gauge(f"d{axis}{number}", f"{axis.upper()}{number}", f"shift along {axis}, hole {number}",
              (at,), asked=SIGNED, spot=at + _BESIDE * way)
        for axis, way in (("x", np.array([1.0, 0.0])), ("y", np.array([0.0, 1.0])))
        for number, at in enumerate(places, start=1)
    ]  # fmt: skip
    told = drill.tool.hole or drill.tool.diameter
    beside = places[0] + _BESIDE * np.array([0.8, 0.8])
    gauges.append(Gauge("hole", "Ø", "diameter of a hole", (places[0],), told, spot=beside))
    labels = [Label(str(number), at - 1.6 * half, 5.0) for number, at in enumerate(places, start=1)]
    return Pattern(
        name="drill",
        title="Drill position",
        finds=f"where the drill lands beside '{reference}', and how large its hole is",
        profile=profile,
        frames=(
            Frame("", (*marks, *(drill.hit(at) for at in places)),
                  tuple(labels) if pen_of(profile) else ()),
        ),
        gauges=tuple(gauges),
        instruments=("a loupe with a scale of tenths, or a caliper", "thin card or firm film"),
        steps=(
            f"Run the file: '{reference}' marks windows of four lines, the drill hits their "
            "middles. Keep the sheet where it is between the tools.",
            "Measure the gap from the hole's edge to the middle of the window's line on the − side "
            "and on the + side. The shift is half of the first less the second: "
            "X = (gap on −x side − gap on +x side) / 2; Y alike. Halving makes 0.05 mm readable.",
            "Write the shift with its sign, and the diameter of a clean hole. Where the drill is "
            "beyond the window, measure from the cross-hairs with a rule instead.",
        ),
        settings={"tool": name, "reference": reference, "size": lengths(size)},
        uncertainty=0.05,
        insets=(_inset(),),
    )  # fmt: skip


def window_half(tool: Tool) -> float:
    """Give how far the window's lines stand from its middle, mm."""
    return (tool.hole or tool.diameter or _USUAL_HOLE) / 2 + _CLEAR


def _sight(hand: Hand, at: Point, half: float) -> list[Toolpath]:
    """Give four ticks of cross-hairs, and a window of four lines that do not meet.

    All are drawn and met towards +, so that play shifts them and the hole alike: a ring or a square
    in one go would be drawn with play now to one side, now to the other.
    """
    out = []
    for along, across in (np.eye(2), np.eye(2)[::-1]):
        for side in (-1.0, 1.0):
            near, far = at + side * (half + 3.0) * along, at + side * (half + 9.0) * along
            out.append(hand.line(near, far) if side > 0 else hand.line(far, near))
            pane = at + side * half * along
            out.append(hand.line(pane - 0.7 * half * across, pane + 0.7 * half * across))
    return out


def _inset() -> Inset:
    """Draw a hole beside the middle of its window."""
    half, hole, shift = 5.0, 2.0, np.array([0.8, 0.4])
    x, y = np.eye(2)
    panes = [
        line(side * half * a - 0.7 * half * b, side * half * a + 0.7 * half * b)
        for a, b in ((x, y), (y, x))
        for side in (-1, 1)
    ]
    hairs = [
        line(side * (half + 2) * way, side * (half + 5) * way) for way in (x, y) for side in (-1, 1)
    ]
    level = shift[1] * y
    gaps = [line(level - half * x, shift - hole * x), line(shift + hole * x, level + half * x)]
    words = (("−", -3.1, 0.9), ("+", 3.9, 0.9))
    return Inset(
        "What to measure, enlarged",
        (*panes, *hairs, *gaps),
        (circle(shift, hole),),
        words,
        "A hole shifted towards +x: the gap on the − side is the larger one.",
    )
