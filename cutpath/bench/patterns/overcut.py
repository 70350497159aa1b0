"""Small closed cuts with more and more overcut tell from which one a piece comes out clean."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from cutpath.bench.choosing import CUTS, chosen, pen_of
from cutpath.bench.form_values import lengths, parsed_lengths
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import hand_of
from cutpath.bench.pattern_model import Frame, Gauge, Label, Pattern, Wish
from cutpath.geometry.chain import Chain, arc, joined, line
from cutpath.geometry.points import Point
from cutpath.model import Toolpath
from cutpath.settings.profile import Profile, Tool

USUAL = tuple(0.25 * step for step in range(9))
ROWS = 3
_SIDE, _STEP, _ROW = 14.0, 26.0, 34.0
_MOST = 10.0


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern: rows of closed cuts, each run past its start by a step more."""
    name = chosen(profile, wish.tool, CUTS, "a knife or a hot blade")
    ladder = USUAL
    if wish.values:
        ladder = parsed_lengths(wish.values, 0.0, _MOST, "overcuts")
    size = (len(ladder) * _STEP + 10.0, ROWS * _ROW)
    room_for(ground, wish.size, size, size)
    hand = hand_of(profile, ground, name, "overcut")
    strokes: list[Toolpath] = []
    labels = [Label(f"{value:g}", np.array([_at(k, 0)[0], -2.0])) for k, value in enumerate(ladder)]
    gauges = []
    for row in range(ROWS):
        strokes += [
            hand.stroke(closed_past(_at(k, row), value, hand.tool))
            for k, value in enumerate(ladder)
        ]
        end = _at(len(ladder) - 1, row)
        words = f"row {row + 1}: least overcut that comes out clean"
        gauges.append(Gauge(f"closed_{row + 1}", f"{row + 1}", words, (_at(0, row), end), None))
        labels.append(Label(str(row + 1), _at(0, row) - np.array([_SIDE + 1.0, 0.0]), 5.0))
    steps = np.diff(ladder)
    begin = "their side of most x" if _is_round(hand.tool) else "their corner of least x and y"
    told = ", ".join(f"{value:g}" for value in ladder)
    return Pattern(
        name="overcut",
        title="Overcut",
        finds="how far a closed cut must run past its start for the piece to come out clean",
        profile=profile,
        frames=(Frame("", tuple(strokes), tuple(labels) if pen_of(profile) else ()),),
        gauges=tuple(gauges),
        instruments=("tweezers and a loupe", "the cloth or film that you will cut, on its mat"),
        steps=(
            f"Run the file. In each row the cuts run past their start by {told} mm, in the order "
            f"of the row (along x). All begin at {begin}.",
            "Lift the pieces with the tweezers from the largest overcut downward. The reading is "
            "the smallest overcut whose piece came out without a thread or a tear at its start.",
            "Do it for all three rows. Where none comes out, look at depth or force first "
            "(pattern 'ladder'), or ask for larger steps with --values.",
        ),
        settings={"tool": name, "values": lengths(ladder)},
        uncertainty=float(steps.max()) / 2,
    )


def closed_past(middle: Point, overcut: float, tool: Tool) -> Chain:
    """Give a small closed cut about ``middle`` that runs ``overcut`` mm past its start.

    A square that begins at a corner; a disc for tools that leave the cloth at corners anyway.
    """
    half = _SIDE / 2
    if _is_round(tool):
        round_ = arc(middle, half, 0.0, 2 * np.pi)
        return round_ if not overcut else joined([round_, arc(middle, half, 0.0, overcut / half)])
    corners = [middle + half * np.array(c) for c in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))]
    sides = [line(a, b) for a, b in pairwise(corners)]
    if overcut:
        sides.append(line(corners[0], corners[0] + np.array([overcut, 0.0])))
    return joined(sides)


def _is_round(tool: Tool) -> bool:
    return tool.lift_angle is not None or bool(tool.least_radius)


def _at(column: int, row: int) -> Point:
    return np.array([18.0 + _STEP * column, 18.0 + _ROW * row])
