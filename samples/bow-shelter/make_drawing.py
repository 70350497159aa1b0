"""Draw shelter.dxf, the traced panels of an invented bow shelter.

    python samples/bow-shelter/make_drawing.py [FILE]

The frame and the flattening are in frame.py, the hand that draws in tracing.py. Marks are placed
by their station along the tube, so that they agree on both pieces of a seam.
"""

from __future__ import annotations

import itertools
import sys
from collections.abc import Sequence
from pathlib import Path

import ezdxf
import numpy as np
from ezdxf import units
from ezdxf.layouts import Modelspace
from frame import (
    APEX_OF_FRONT,
    APEX_OF_TOP,
    Half,
    aft_hoop,
    deck_line,
    front_hoop,
    laid_flat,
)
from marks import (
    CROWN_MARKS,
    LEG_MARKS,
    RULING_MARKS,
    SIDES,
    Seam,
    both_hands,
    name_marks,
    on_both_hands,
    ruling,
    ticks,
)
from numpy.typing import ArrayLike, NDArray
from tracing import Tracing

Floats = NDArray[np.float64]

HEM_HOLLOW = 14.0  # mm by which the deck sags between the hoops
LAYERS = {
    "OUTLINE": 7, "TURN POINTS": 1, "MARKS": 5, "WINDOWS": 4, "DRILL": 6,
    "GRAIN": 3, "NAMES": 2, "EDGE NAMES": 30, "NOTES": 8,
}  # fmt: skip


def name_edge(trace: Tracing, name: str, on: ArrayLike, inside: tuple[float, float]) -> None:
    """Write an edge's name, ``inside`` mm from a point on the edge."""
    trace.words(name, np.add(on, inside), 12, "EDGE NAMES")


def draw_front(trace: Tracing) -> None:
    """Draw the front, outside up, the deck below: port is on the right."""
    hoop = front_hoop()
    seam = both_hands(laid_flat(hoop.xyz, APEX_OF_FRONT), hoop.station)
    flat_deck = laid_flat(deck_line(), APEX_OF_FRONT)
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(flat_deck, axis=0), axis=1))])
    deck = both_hands(flat_deck, run)
    crown = len(hoop.xyz) - 1
    ends = [0, crown - hoop.shoulder, crown + hoop.shoulder, -1]
    runs = []
    for curve in (deck.points, seam.points[::-1]):
        # Beside the legs the cone is a plane, and its edges are straight.
        runs += [curve[ends[:2]], *_parts(curve, hoop), curve[ends[2:]]]
    trace.outline(runs)
    for corner in seam.points[ends]:
        trace.point(corner, "TURN POINTS")

    marks = on_both_hands(CROWN_MARKS, centre=True) | on_both_hands(LEG_MARKS)
    ticks(trace, seam, marks)
    name_marks(trace, seam, marks, -1)
    for station in np.linspace(-920, 920, 9):
        trace.ring(deck.at(station) + 26 * deck.inward(station), 6, "DRILL")

    trace.rounded(_polar([(-5, 3270), (5, 3270), (5, 3800), (-5, 3800)]), 60, "WINDOWS")
    pane = [(6.3, 3280), (12.1, 3335), (11.4, 3580), (8.9, 3745), (6.3, 3795)]
    trace.rounded(_polar(pane), 50, "WINDOWS")
    trace.rounded(_polar([(-angle, reach) for angle, reach in pane[::-1]]), 50, "WINDOWS")

    trace.words("FRONT", (0, 3150), 30, "NAMES")
    name_edge(trace, "top", seam.at(0), (0, -45))
    name_edge(trace, "bottom", deck.at(110), (0, 42))
    name_edge(trace, "port", seam.at(1120), (-50, -12))
    name_edge(trace, "starboard", seam.at(-1120), (58, -12))
    trace.line((-330, 3095), (330, 3095), "GRAIN")


def draw_top(trace: Tracing) -> None:
    """Draw the top, outside up, the bow upwards: port is on the left."""
    aft, front = aft_hoop(), front_hoop()
    hoops = []
    for hoop in (aft, front):
        half = -laid_flat(hoop.xyz, APEX_OF_TOP)[: hoop.shoulder + 1]
        hoops.append(both_hands(half, hoop.station[: hoop.shoulder + 1]))
    zip_edge, seam = hoops
    trace.spline(zip_edge.points)
    trace.spline(seam.points[::-1])
    for hand in SIDES.values():
        end = -1 if hand > 0 else 0
        trace.line(seam.points[end], zip_edge.points[end])
        side_seam = ruling(seam.points[end], zip_edge.points[end])
        letter = "P" if hand > 0 else "S"
        marks = {letter + key: at for key, at in RULING_MARKS.items()}
        for at in marks.values():
            trace.point(side_seam.at(at), "MARKS")
        name_marks(trace, side_seam, marks, hand)
        name = "port" if hand > 0 else "starboard"
        shift = (4.6 * len(name) + 22) * hand
        name_edge(trace, name, side_seam.at(440), (shift, 0))

    marks = on_both_hands(CROWN_MARKS, centre=True)
    for at in marks.values():
        trace.point(seam.at(at), "MARKS")
    name_marks(trace, seam, marks, 1)
    ticks(trace, zip_edge, {"ZC": 0.0})
    name_marks(trace, zip_edge, {"ZC": 0.0}, -1)
    trace.words("TOP", (0, -8100), 30, "NAMES")
    name_edge(trace, "fore", seam.at(0), (0, -45))
    name_edge(trace, "aft", zip_edge.at(0), (0, 45))
    trace.line((-500, -8180), (500, -8180), "GRAIN")


def draw_side(trace: Tracing, hand: int) -> None:
    """Draw one side, outside up, the deck below: the bow is to the left on the port side."""
    fore_top, fore_foot, aft_top, aft_foot = _side_corners(hand)
    hollow = (fore_foot + aft_foot) / 2 - (0, HEM_HOLLOW)
    if hand > 0:  # loose lines, in the order in which they were traced
        trace.line(aft_top, aft_foot)
        trace.line(fore_top, fore_foot)
        trace.arc(aft_foot, hollow, fore_foot)
        trace.line(aft_top, fore_top)
    else:
        around = [[fore_foot, hollow, aft_foot], [aft_foot, aft_top], [aft_top, fore_top]]
        trace.outline([np.array(run) for run in [*around, [fore_top, fore_foot]]])

    letter = "P" if hand > 0 else "S"
    front = front_hoop()
    leg = Seam(np.array([fore_top, fore_foot]), front.station[[front.shoulder, -1]])
    side_seam = ruling(fore_top, aft_top)
    for seam, table, side in ((leg, LEG_MARKS, hand), (side_seam, RULING_MARKS, -hand)):
        marks = {letter + key: at for key, at in table.items()}
        if hand > 0:
            for at in marks.values():
                trace.ring(seam.at(at), 4, "MARKS")
        else:
            ticks(trace, seam, marks)
        name_marks(trace, seam, marks, side)

    center = (fore_top + fore_foot + aft_top + aft_foot) / 4
    trace.words("PORT SIDE" if hand > 0 else "STARBOARD SIDE", center, 30, "NAMES")
    x, y = center
    trace.line((x - 200, y - 90), (x + 200, y - 90), "GRAIN")
    name_edge(trace, "fore", leg.at(1120), (42 * hand, 0))
    name_edge(trace, "top", side_seam.at(430), (0, -40))
    name_edge(trace, "aft", (aft_top + aft_foot) / 2, (-38 * hand, 0))
    name_edge(trace, "bottom", (fore_foot + aft_foot) / 2, (60, 26))
    for share in (0.08, 0.29, 0.5, 0.71, 0.92):
        sag = 4 * share * (1 - share) * HEM_HOLLOW
        trace.ring(fore_foot + share * (aft_foot - fore_foot) + (0, 13 - sag), 6, "DRILL")


def draw_sheet(sheet: Modelspace) -> None:
    """Draw all panels, apart from one another, and the notes."""
    draw_front(Tracing(sheet, (1100.0, -2800.0), 0.3))
    draw_top(Tracing(sheet, (1100.0, 9950.0), 1.9))
    draw_side(Tracing(sheet, (3150.0, 100.0), 4.1), SIDES["P"])
    draw_side(Tracing(sheet, (2270.0, 1300.0), 5.2), SIDES["S"])
    patch = Tracing(sheet, (2700.0, 1050.0), 0.0)
    patch.ring((0, 0), 180, "OUTLINE")
    patch.words("CHAFE PATCH", (0, 0), 10, "NAMES")
    note = Tracing(sheet, (0.0, 0.0), 0.0)
    note.words("BOW SHELTER, ESTUARY BOAT OF 5 m (INVENTED)", (1100, -60), 30, "NOTES")
    note.words("OUTSIDE FACE UP, NET LINES, mm", (1100, -110), 20, "NOTES")


def make_drawing(file: Path) -> None:
    """Write the drawing; the same bytes every time."""
    ezdxf.options.write_fixed_meta_data_for_testing = True  # no dates, no random ids
    document = ezdxf.new("R2010", units=units.MM)
    for name, color in LAYERS.items():
        document.layers.add(name, color=color)
    draw_sheet(document.modelspace())
    for kind in sorted(document.entitydb.dxf_types_in_use()):  # saving would list them in any order
        document.classes.add_class(kind)
    document.saveas(file)


def _side_corners(hand: int) -> list[Floats]:
    """Give the corners of one side in its own plane: fore top, fore foot, aft top, aft foot.

    The side is flat, for the legs of the two hoops are parallel.
    """
    corners = [hoop.xyz[k] for hoop in (front_hoop(), aft_hoop()) for k in (hoop.shoulder, -1)]
    foot = corners[-1]
    along = _unit(corners[1] - foot)
    up = corners[2] - foot
    up = _unit(up - (up @ along) * along)
    return [np.array([-hand * ((p - foot) @ along), (p - foot) @ up]) for p in corners]


def _unit(vector: Floats) -> Floats:
    return np.asarray(vector / np.linalg.norm(vector))


def _parts(curve: Floats, hoop: Half) -> list[Floats]:
    """Give the bend, crown and bend of a whole curve that follows a hoop, without its legs."""
    crown = len(hoop.xyz) - 1
    knots = [crown + k for k in (-hoop.shoulder, -hoop.bend, hoop.bend, hoop.shoulder)]
    return [curve[first : last + 1] for first, last in itertools.pairwise(knots)]


def _polar(places: Sequence[tuple[float, float]]) -> Floats:
    """Give (degrees from the centre line, mm from the apex) as points of the flat front."""
    angle, reach = np.array(places).T
    angle = np.radians(angle)
    return np.column_stack([reach * np.sin(angle), reach * np.cos(angle)])


if __name__ == "__main__":
    make_drawing(Path(sys.argv[1] if len(sys.argv) > 1 else Path(__file__).parent / "shelter.dxf"))
