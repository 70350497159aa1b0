"""Holes in rings with cross-hairs tell where the drill lands, and how large its hole is."""

from __future__ import annotations

import math

import numpy as np

from cutpath.bench.choosing import LINES, CannotError, chosen, pen_of, tools_of
from cutpath.bench.form_values import lengths
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import Hand, hand_of
from cutpath.bench.pattern_model import SIGNED, Frame, Gauge, Inset, Label, Pattern, Wish
from cutpath.geometry.chain import Chain, arc, circle, line
from cutpath.geometry.points import Point, direction
from cutpath.model import Role, Toolpath
from cutpath.settings.profile import Profile, Tool

PLACES = 3
_CLEAR = 3.0
"""mm between the hole's told edge and the ring."""
_USUAL_HOLE = 3.0
_USUAL = (240.0, 160.0)
_BESIDE = 18.0
"""mm from a hole to its letters."""


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern: rings by the finest tool that leaves a line, holes by the drill."""
    name = chosen(profile, wish.tool, [Role.DRILL], "a drill or a punch")
    lines = tools_of(profile, LINES)
    if not lines:
        raise CannotError("it needs a second tool that draws or cuts cross-hairs")
    drill, reference = hand_of(profile, ground, name, "drill"), lines[0]
    ring = ring_radius(drill.tool)
    least = (4 * ring * PLACES + 40.0, 4 * ring + 60.0)
    size = room_for(ground, wish.size, least, _USUAL)
    hand = hand_of(profile, ground, reference, "drill")
    places = [
        np.array([2 * ring + share * (size[0] - 4 * ring), 2 * ring + share * (size[1] - 4 * ring)])
        for share in (0.0, 0.5, 1.0)
    ]
    marks = [stroke for at in places for stroke in _sight(hand, at, ring)]
    gauges = [
        Gauge(f"d{axis}{number}", f"{axis.upper()}{number}", f"shift along {axis}, hole {number}",
              (at,), asked=SIGNED, spot=at + _BESIDE * way)
        for axis, way in (("x", np.array([1.0, 0.0])), ("y", np.array([0.0, 1.0])))
        for number, at in enumerate(places, start=1)
    ]  # fmt: skip
    told = drill.tool.hole or drill.tool.diameter
    beside = places[0] + _BESIDE * np.array([0.8, 0.8])
    gauges.append(Gauge("hole", "Ø", "diameter of a hole", (places[0],), told, spot=beside))
    labels = [Label(str(number), at - 1.6 * ring, 5.0) for number, at in enumerate(places, start=1)]
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
            f"Run the file: '{reference}' marks rings of radius {ring:g} mm, the drill hits their "
            "middles. Keep the sheet where it is between the tools.",
            "Measure the gap from the hole's edge to the middle of the ring's line on the − side "
            "and on the + side. The shift is half of the first less the second: "
            "X = (gap on −x side − gap on +x side) / 2; Y alike. Halving makes 0.05 mm readable.",
            "Write the shift with its sign, and the diameter of a clean hole. Where the drill is "
            "beyond the ring, measure from the cross-hairs with a rule instead.",
        ),
        settings={"tool": name, "reference": reference, "size": lengths(size)},
        uncertainty=0.05,
        insets=(_inset(),),
    )  # fmt: skip


def ring_radius(tool: Tool) -> float:
    """Give the radius of the rings, mm."""
    return (tool.hole or tool.diameter or _USUAL_HOLE) / 2 + _CLEAR


def _sight(hand: Hand, at: Point, ring: float) -> list[Toolpath]:
    """Give four ticks and a ring; one that would fall out is left in four arcs by a blade."""
    out = []
    for quarter in range(4):
        way = direction(quarter * math.pi / 2)
        near, far = at + (ring + 1.0) * way, at + (ring + 7.0) * way
        # Every tick runs towards +.
        out.append(hand.line(near, far) if way.sum() > 0 else hand.line(far, near))
    if hand.tool.role is Role.PEN:
        return [*out, hand.stroke(arc(at, ring, 0.0, math.tau))]
    return [*out, *(hand.stroke(each) for each in _quarters(at, ring))]


def _quarters(at: Point, ring: float) -> list[Chain]:
    sweep = math.radians(60)
    return [arc(at, ring, quarter * math.pi / 2 - sweep / 2, sweep) for quarter in range(4)]


def _inset() -> Inset:
    ring, hole, shift = 5.0, 2.0, np.array([0.8, 0.4])
    at = np.zeros(2)
    thin = [circle(at, ring)]
    thin += [
        line((ring + 1) * direction(a), (ring + 4) * direction(a))
        for a in np.arange(4) * math.pi / 2
    ]
    left, right = shift - np.array([hole, 0.0]), shift + np.array([hole, 0.0])
    y = float(shift[1])
    edge = math.sqrt(ring**2 - y**2)
    heavy = (circle(shift, hole),)
    thin += [line((-edge, y), left), line(right, (edge, y))]
    words = (("−", (-edge + left[0]) / 2, y + 0.5), ("+", (edge + right[0]) / 2, y + 0.5))
    return Inset("What to measure, enlarged", tuple(thin), heavy,
                 tuple((w, float(a), float(b)) for w, a, b in words),
                 "A hole shifted towards +x: the gap on the − side is the larger one.")  # fmt: skip
