"""A scale by one tool and a slide by another tell where the second lands beside the first."""

from __future__ import annotations

import numpy as np

from cutpath.bench.choosing import LINES, CannotError, chosen, pen_of, tools_of
from cutpath.bench.corners import FOOTPRINT, corner_verniers, place_enlarged
from cutpath.bench.ground import Ground, room_for
from cutpath.bench.hand import Hand, hand_of
from cutpath.bench.pattern_model import SIGNED, Frame, Gauge, Label, Pattern, Wish
from cutpath.bench.vernier import drawn, how_to_read
from cutpath.errors import InputError
from cutpath.model import Toolpath
from cutpath.settings.profile import Profile

PLACES = 3
_GAP = 6.0
_USUAL = (400.0, 260.0)


def make(profile: Profile, ground: Ground, wish: Wish) -> Pattern:
    """Give the pattern; ``wish.tool`` is the one to compare with the first, else all are."""
    lines = tools_of(profile, LINES)
    if len(lines) < 2:
        raise CannotError("it needs two tools that leave a line, such as a pen and a knife")
    reference, others = lines[0], lines[1:]
    if wish.tool:
        asked = chosen(profile, wish.tool, LINES, "a tool that leaves a line")
        if asked == reference:
            raise InputError(
                f"'{reference}' is the tool that the others are compared with",
                remedy=f"Choose one of: {', '.join(others)}; or leave --tool away for all.",
            )
        others = [asked]
    width, height = FOOTPRINT
    stack = len(others) * (height + _GAP)
    least = (PLACES * (width + _GAP), stack)
    size = room_for(ground, wish.size, least, (max(_USUAL[0], least[0]), max(_USUAL[1], stack)))
    first = hand_of(profile, ground, reference, "tools")
    strokes: list[Toolpath] = []
    labels: list[Label] = []
    gauges: list[Gauge] = []
    later: list[list[Toolpath]] = []
    for row, name in enumerate(others):
        hand = hand_of(profile, ground, name, "tools")
        slides: list[Toolpath] = []
        for place in range(PLACES):
            share = place / (PLACES - 1)
            low = row * (height + _GAP)
            corner = np.array([share * (size[0] - width), low + share * (size[1] - stack)])
            found = _place(corner, first, hand, place + 1)
            strokes += found[0]
            slides += found[1]
            labels += found[2]
            gauges += found[3]
        later.append(slides)
    gauges.sort(key=lambda gauge: (others.index(gauge.tool), gauge.key))
    return Pattern(
        name="tools",
        title="Offset between tools",
        finds=f"where each tool lands beside '{reference}', in x and y",
        profile=profile,
        frames=(
            Frame(
                "",
                (*strokes, *(stroke for slides in later for stroke in slides)),
                tuple(labels) if pen_of(profile) else (),
            ),
        ),
        gauges=tuple(gauges),
        instruments=("a loupe, 8 to 10 times", "smooth paper or film, held flat all over"),
        steps=(
            f"Run the file without moving the sheet between tools: '{reference}' draws the scales, "
            f"then {_and(others)} {'makes' if len(others) == 1 else 'make'} the slides.",
            "Read every shift as the drawing shows, to 0.05 mm. X rows tell dx, Y rows dy: plus "
            "where the slide's zero stands towards the machine's + side of the scale's zero.",
            "More than 30 mm off? Then measure from zero to zero with a rule, enter that offset in "
            "the profile, and make the pattern again.",
        ),
        settings={"reference": reference, "tools": tuple(others)},
        uncertainty=0.05,
        insets=(
            place_enlarged(),
            how_to_read(f"the {reference}", f"the {others[0]}"),
        ),
    )


def _place(
    corner: np.ndarray[tuple[int, ...], np.dtype[np.float64]], first: Hand, other: Hand, number: int
) -> tuple[list[Toolpath], list[Toolpath], list[Label], list[Gauge]]:
    """Give the scales, the slides, the numbers and what to read of one place."""
    scales: list[Toolpath] = []
    slides: list[Toolpath] = []
    labels: list[Label] = []
    gauges: list[Gauge] = []
    for axis, vernier in corner_verniers(corner, overlap=2.0).items():
        scales += drawn(vernier.scale(), first)
        slides += drawn(vernier.slide(), other)
        labels += vernier.labels()
        key = f"d{axis}{number}"
        words = f"{other.name}: along {axis}, place {number}"
        gauges.append(
            Gauge(key, f"{axis.upper()}{number}", words, (vernier.zero,), tool=other.name,
                  asked=SIGNED, spot=vernier.spot)
        )  # fmt: skip
    labels.append(Label(other.name, corner + np.array([35.0, 63.0]), 4.0))
    return scales, slides, labels, gauges


def _and(names: list[str]) -> str:
    quoted = [f"'{name}'" for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"
