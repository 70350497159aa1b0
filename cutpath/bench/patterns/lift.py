"""Travels lower and lower over the cloth tell from which height a tool touches it."""

from __future__ import annotations

import numpy as np

from cutpath.bench.choosing import CUTS, LINES, CannotError, chosen, lifts_by_height, pen_of
from cutpath.bench.form_values import lengths, parsed_lengths
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import hand_of
from cutpath.bench.pattern_model import Frame, Gauge, Label, Pattern, Wish
from cutpath.geometry.chain import line
from cutpath.model import Toolpath, Trial
from cutpath.settings.profile import Profile

_SHARES = (1.0, 0.75, 0.5, 0.35, 0.25, 0.15)
_TICK, _WAY, _ROW, _EDGE = 8.0, 120.0, 16.0, 24.0


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern: two ticks a row, and between them a travel at the row's height."""
    name = chosen(profile, wish.tool or _usual_tool(profile), LINES, "a tool that leaves a line")
    if not lifts_by_height(profile, profile.tools[name]):
        raise CannotError("its file says only up and down, not how high tools are lifted")
    most = profile.output.travel_height
    heights = tuple(dict.fromkeys(round(most * share, 1) for share in _SHARES))
    if wish.values:
        heights = parsed_lengths(wish.values, 0.2, most, "heights")[::-1]
    size = (_EDGE + 2 * _TICK + _WAY, _ROW * len(heights) + 10.0)
    room_for(ground, wish.size, size, size)
    hand = hand_of(profile, ground, name, "lift")
    strokes: list[Toolpath] = []
    labels: list[Label] = []
    top = _ROW * len(heights)
    if hand.tool.role in CUTS:
        middle = _EDGE + _TICK + _WAY / 2
        strokes.append(hand.line((middle, 4.0), (middle, top)))
    for row, height in enumerate(heights):
        y = top - _ROW * (row + 0.5)
        near, far = _EDGE + _TICK, _EDGE + _TICK + _WAY
        low = Trial(lift_height=height)
        strokes.append(hand.stroke(line((near - _TICK, y), (near, y)), low))
        # No pause: it must come straight from the first tick, at that height.
        tick = hand.line((far, y), (far + _TICK, y))
        strokes.append(_straight_from(tick))
        labels.append(Label(f"{height:g}", np.array([_EDGE / 2, y]), 4.0))
    told = ", ".join(f"{height:g}" for height in heights)
    ends = (np.array([_EDGE + _TICK, top / 2]), np.array([_EDGE + _TICK + _WAY, top / 2]))
    return Pattern(
        name="lift",
        title="Lift height",
        finds="how low the tool may travel over the cloth without touching it",
        profile=profile,
        frames=(Frame("", tuple(strokes), tuple(labels) if pen_of(profile) else ()),),
        gauges=(
            Gauge("clear_at", "?", f"least height without a mark ({told})", ends, None),
        ),
        instruments=("your eyes and a loupe", "cloth as you lay and hold it, its worst wrinkle in"),
        steps=(
            "Lay cloth as for real work. Lay a folded seam or a hem, as thick as any that will "
            "lie on the bed, across the middle of the rows if you ever travel over such.",
            f"Run the file. Each row has a tick at both ends; between them the tool travels "
            f"{told} mm above the cloth's zero, from the row of most y downward."
            + (" A slit across all rows has edges that a low tool catches." if strokes[0]
               .chain.first[0] == strokes[0].chain.last[0] else ""),
            "Look along each row for a scratch, a line or a caught edge. The reading is the least "
            "height that left none.",
        ),
        settings={"tool": name, "values": lengths(heights)},
        uncertainty=0.0,
        cautions=("The lowest rows may catch the cloth: keep a hand at the stop button.",),
    )  # fmt: skip


def _straight_from(tick: Toolpath) -> Toolpath:
    return Toolpath(tick.role, tick.feature, tick.piece, tick.chain, None, tick.trial)


def _usual_tool(profile: Profile) -> str:
    """Give the first tool that is lifted by height, cutting ones first."""
    ordered = [name for role in (*CUTS, *LINES) for name, t in profile.tools.items()
               if t.role is role]  # fmt: skip
    return next((name for name in ordered if lifts_by_height(profile, profile.tools[name])), "")
