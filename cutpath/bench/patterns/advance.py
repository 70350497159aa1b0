"""Scales at the end of one frame, slides at the start of the next: how far cloth advances."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutpath.bench.choosing import LINES, chosen, pen_of
from cutpath.bench.form_values import length_text, lengths
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import hand_of
from cutpath.bench.pattern_model import SIGNED, Frame, Gauge, Label, Pattern, Wish
from cutpath.bench.vernier import DEPTH, REACH, Vernier, drawn, how_to_read
from cutpath.model import Toolpath
from cutpath.settings.profile import Profile

PLACES = 3
_HALF = DEPTH + 7.0
_END = REACH + 6.0
_LEAST = (100.0, PLACES * 2 * _HALF + 20.0)
_USUAL_ACROSS = 1200.0


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern of two files; ``wish.size`` is the advance and the width, mm."""
    name = chosen(profile, wish.tool, LINES, "a pen, a knife or a hot blade")
    runs_x = bool(ground.runs[0])
    length, across = (ground.width, ground.height) if runs_x else (ground.height, ground.width)
    along_ground = Ground(length - 2 * _END, across, ground.to_bed, ground.runs, ground.rest)
    advance, width = room_for(along_ground, wish.size, _LEAST, (np.inf, _USUAL_ACROSS))
    hand = hand_of(profile, ground, name, "advance")
    runs, side = ground.runs, np.abs(ground.runs[::-1])
    # From the cloth's far end of the ground back towards where it came from.
    origin = np.where(runs < 0, (ground.width, ground.height), 0.0)
    scales: list[Toolpath] = []
    slides: list[Toolpath] = []
    labels: list[Label] = []
    gauges: list[Gauge] = []
    toward = tuple((-runs - 0.5 * side).tolist())
    for number in range(PLACES):
        low = _HALF + number / (PLACES - 1) * (width - 2 * _HALF)
        first = Vernier(origin + (_END + advance) * runs + low * side, runs, side)
        second = Vernier(first.zero - advance * runs, runs, side)
        comes = hand.from_side(*toward)
        scales += drawn(first.scale(), comes)
        slides += drawn(second.slide(), comes)
        labels += first.labels()
        key = f"a{number + 1}"
        words = f"advance, place {number + 1}"
        gauges.append(Gauge(key, key.upper(), words, (second.zero, first.zero), asked=SIGNED))
    told = length_text(advance / profile.compensation.advance_scale)
    return Pattern(
        name="advance",
        title="Cloth advance",
        finds="whether the cloth advances as far as it is told between frames",
        profile=profile,
        frames=_frames(profile, scales, slides, labels, advance),
        gauges=tuple(gauges),
        instruments=("a loupe", "the cloth itself, on its roll, as it is worked"),
        steps=(
            "Set the scale right first (pattern 'scale'): this one is measured by the same axes.",
            _run_words(profile, told),
            "The long rows of ticks (scales) are of the first frame, the short ones (slides) of "
            "the second. Read each place to 0.05 mm with its sign: plus where the cloth went "
            "farther than told.",
            "Where A1 and A3 differ, the cloth turns while it advances. Square the roll first.",
        ),
        settings={
            "tool": name, "advance": length_text(advance), "size": lengths((advance, width)),
        },
        uncertainty=0.05,
        insets=(how_to_read("the first frame", "the second", 0.35),),
    )  # fmt: skip


def _frames(
    profile: Profile,
    scales: list[Toolpath],
    slides: list[Toolpath],
    labels: list[Label],
    advance: float,
) -> tuple[Frame, ...]:
    """Give one file where the machine moves the cloth by itself, else one for each frame."""
    written = tuple(labels) if pen_of(profile) else ()
    if profile.advance is None:
        return (Frame("1", tuple(scales), written), Frame("2", tuple(slides)))
    moved_on = replace(slides[0], advance=advance)
    return (Frame("", (*scales, moved_on, *slides[1:]), written),)


def _run_words(profile: Profile, told: str) -> str:
    to, from_ = ("left", "right") if profile.bed.runs_right else ("near", "far")
    if profile.advance is not None:
        return f"Run the file: between both frames the machine moves the cloth on by {told}."
    return (
        f"Run file 1. Advance the cloth by {told} towards the {to} side, as you do between frames: "
        f"what lies at the {from_} end comes to the {to} end. Run file 2."
    )
