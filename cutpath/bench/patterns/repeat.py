"""Ticks told in one line, each met from another side, tell how well the machine returns."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from cutpath.bench.choosing import LINES, chosen, pen_of
from cutpath.bench.form_values import lengths
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import hand_of
from cutpath.bench.pattern_model import Frame, Gauge, Inset, Label, Pattern, Wish
from cutpath.geometry.chain import line
from cutpath.geometry.points import Point
from cutpath.model import Pause, Toolpath
from cutpath.settings.profile import Profile

RETURNS = 8
TICK, STEP = 5.0, 5.0
_ACROSS = 60.0
_LEAST, _USUAL = (120.0, 120.0), (600.0, 400.0)


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern: two rows of ticks in the middle of the area that it is driven over."""
    name = chosen(profile, wish.tool, LINES, "a pen, a knife or a hot blade")
    size = room_for(ground, wish.size, _LEAST, _USUAL)
    hand = hand_of(profile, ground, name, "repeat")
    middle = np.array(size) / 2
    strokes: list[Toolpath] = []
    gauges: list[Gauge] = []
    for axis, way in (("x", np.array([0.0, 1.0])), ("y", np.array([1.0, 0.0]))):
        # Ticks for x lie in one line along y.
        foot = middle - RETURNS * STEP / 2 * way - (_ACROSS / 2 * (1 - way) if axis == "x" else 0)
        for k in range(RETURNS):
            tick = hand.stroke(line(foot + k * STEP * way, foot + (k * STEP + TICK - 0.5) * way))
            strokes.append(_from_afar(tick, k, size, is_hot=hand.tool.cool_time > 0))
        ends = (foot, foot + (RETURNS * STEP) * way)
        key = f"spread_{axis}"
        words = f"greatest step sideways, along {axis}"
        gauges.append(Gauge(key, axis.upper(), words, ends, spot=foot - 6.0 * way))
    labels = [Label(gauge.letter, gauge.spot, 3.5) for gauge in gauges if gauge.spot is not None]
    return Pattern(
        name="repeat",
        title="Repeatability",
        finds="how well the machine comes back to one place, whatever way it came",
        profile=profile,
        frames=(Frame("", tuple(strokes), tuple(labels) if pen_of(profile) else ()),),
        gauges=tuple(gauges),
        instruments=("a loupe with a scale of tenths", "smooth paper or film, held flat"),
        steps=(
            f"Run the file. Each row is {RETURNS} ticks told in one straight line; before each "
            "the tool is driven out to another side of the area and back.",
            "Find the two ticks of a row that stand farthest apart sideways, and measure that "
            "step to 0.05 mm: X across the row along y, Y across the row along x.",
            "A spread beyond a tool's tolerance cannot be mended in the profile: look at belts, "
            "screws, the pen's seat, and the cloth's grip.",
        ),
        settings={"tool": name, "size": lengths(size), "returns": RETURNS},
        uncertainty=0.05,
        insets=(_inset(),),
    )


def _from_afar(tick: Toolpath, number: int, size: tuple[float, float], *, is_hot: bool) -> Toolpath:
    """Give ``tick`` met from one of eight places round the area, in another order each row."""
    if is_hot:
        return tick
    angle = 2 * math.pi * (3 * number % 8 + 0.5) / 8
    half = np.array(size) / 2
    at: Point = half + half * (math.cos(angle), math.sin(angle))
    return replace(tick, pause=Pause(at, 0.0))


def _inset() -> Inset:
    """Draw a row of ticks that strays, and the step to measure."""
    shifts = (0.0, 0.3, -0.4, 0.1, 0.5, -0.1, 0.2, 0.0)
    ticks = tuple(
        line((3 * shift, k * STEP), (3 * shift, k * STEP + TICK - 0.5))
        for k, shift in enumerate(shifts)
    )
    low, high = 3 * min(shifts), 3 * max(shifts)
    thin = (
        line((low, -1), (low, 42)), line((high, -1), (high, 42)),
    )  # fmt: skip
    words = (("X", (low + high) / 2, 44.0),)
    return Inset("The step to measure, enlarged", thin, ticks, words,
                 "X is from the tick farthest left to the one farthest right.")  # fmt: skip
