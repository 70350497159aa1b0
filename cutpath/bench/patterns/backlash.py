"""Ticks told at one place and met from both sides tell the play of each axis."""

from __future__ import annotations

import numpy as np

from cutpath.bench.choosing import LINES, chosen, pen_of
from cutpath.bench.corners import FOOTPRINT, corner_verniers, place_enlarged
from cutpath.bench.form_values import lengths
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import hand_of
from cutpath.bench.pattern_model import SIGNED, Frame, Gauge, Label, Pattern, Wish
from cutpath.bench.vernier import drawn, how_to_read
from cutpath.model import Toolpath
from cutpath.settings.profile import Profile

_USUAL = (400.0, 260.0)


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern: a scale driven to towards +, and a slide driven to towards −."""
    name = chosen(profile, wish.tool, LINES, "a pen, a knife or a hot blade")
    width, height = FOOTPRINT
    size = room_for(ground, wish.size, (2 * width + 4, 2 * height + 4), _USUAL)
    hand = hand_of(profile, ground, name, "backlash")
    strokes: list[Toolpath] = []
    labels: list[Label] = []
    gauges: list[Gauge] = []
    spots = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)]
    for number, share in enumerate(spots, start=1):
        corner = np.array(share) * (np.array(size) - FOOTPRINT)
        for axis, vernier in corner_verniers(corner).items():
            back = tuple((vernier.along - vernier.up).tolist())
            strokes += drawn(vernier.scale(), hand)
            strokes += drawn(vernier.slide(), hand.from_side(*back))
            labels += vernier.labels()
            key = f"{axis}{number}"
            words = f"play of {axis}, place {number}"
            gauges.append(
                Gauge(key, key.upper(), words, (vernier.zero,), asked=SIGNED, spot=vernier.spot)
            )
    gauges.sort(key=lambda gauge: gauge.key)
    return Pattern(
        name="backlash",
        title="Backlash",
        finds="how much play each axis has where its direction turns",
        profile=profile,
        frames=(Frame("", tuple(strokes), tuple(labels) if pen_of(profile) else ()),),
        gauges=tuple(gauges),
        instruments=("a loupe, 8 to 10 times", "smooth paper or film, held flat"),
        steps=(
            "Run the file. At each place the ticks of the scale are met driving towards +, "
            "those of the slide driving towards −.",
            "Read the shift of the slide against the scale, as the drawing shows, to 0.05 mm, "
            "with its sign. Without any play, 0 runs straight on in 0.",
            "Where the four places of an axis differ by more than 0.1 mm, look at belts, "
            "screws and the gantry's squareness before you fit.",
        ),
        settings={"tool": name, "size": lengths(size)},
        uncertainty=0.05,
        insets=(place_enlarged(), how_to_read("ticks met towards +", "ticks met towards −")),
    )
