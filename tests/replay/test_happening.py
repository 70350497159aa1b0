"""What a faulty machine makes of a file: by hand for play, by the ellipse for stretch and lean."""

import math

import numpy as np
import pytest

from cutpath.geometry.chain import Chain
from cutpath.moves import Reading
from cutpath.replay.checks import check_play
from cutpath.replay.faults import Faults
from cutpath.replay.gcode import read_rs274
from cutpath.replay.happening import happened
from cutpath.replay.hpgl import read_hpgl
from cutpath.replay.view import View

UP_AND_DOWN = "G21 F600\nG0 Z2\n{travel}\nG1 Z-1\n{cut}\nG0 Z2\nM2\n"


def rs274(travel: str, cut: str) -> Reading:
    return read_rs274(UP_AND_DOWN.format(travel=travel, cut=cut).encode())


def stroke(told: Reading, faults: Faults, number: int = 0) -> Chain:
    return happened(told, faults).reading.strokes[number].chain


def test_a_faultless_machine_does_as_it_is_told() -> None:
    told = rs274("G0 X5 Y5", "X10")
    assert happened(told, Faults()).reading is told
    assert happened(told, Faults(offsets={0: (0.0, 0.0)})).reading is told


# The play operator by hand, backlash 1: from 0 told 10 gives 9.5; back to 7, 7.5; on to 7.6 leaves
# it there; on to 12 gives 11.5.
def test_play_by_hand() -> None:
    told = rs274("G0 X10 Y0", "X7\nX7.6\nX12\nX12.5")
    chain = stroke(told, Faults(x_play=1.0))
    assert chain.points[:, 0] == pytest.approx([9.5, 7.5, 11.5, 12.0])
    assert (chain.points[:, 1] == 0).all()


def test_a_line_bends_where_an_axis_is_pushed_on() -> None:
    # x has come from below and turns back: it stands for the first 1 mm of 4, y goes on.
    told = rs274("G0 X10 Y0", "X6 Y8")
    chain = stroke(told, Faults(x_play=1.0))
    assert chain.points == pytest.approx(np.array([(9.5, 0), (9.5, 2), (6.5, 8)]))


def test_two_axes_are_pushed_on_one_after_the_other() -> None:
    told = rs274("G0 X10 Y10", "X6 Y2")
    chain = stroke(told, Faults(x_play=2.0, y_play=1.0))
    # y after 1 of its 8 mm, x after 2 of its 4.
    expected = [(9, 9.5), (9, 9.5 - 3), (7, 2.5)]
    assert chain.points == pytest.approx(np.array([expected[0], *expected[1:]]))


def test_travel_pushes_the_carriage_too() -> None:
    told = rs274("G0 X10 Y0\nG0 X9.8 Y0\nG0 X9.6", "Y5")
    real = happened(told, Faults(x_play=1.0)).reading
    assert real.strokes[0].chain.points[:, 0] == pytest.approx([9.5, 9.5])
    assert [float(way.last[0] - way.first[0]) for way in real.travel] == pytest.approx([9.5, 0, 0])


# x' = a x + b y sin φ, y' = b y cos φ maps the circle of radius 10 to an ellipse.
def test_a_circle_becomes_its_ellipse() -> None:
    a, b, lean = 1.02, 0.97, math.radians(3)
    told = rs274("G0 X30 Y20", "G3 X30 Y20 I-10 J0")
    x, y = stroke(told, Faults(x_scale=a, y_scale=b, skew=lean)).points.T
    back_y = y / (b * math.cos(lean))
    back_x = (x - b * back_y * math.sin(lean)) / a
    assert np.hypot(back_x - 20, back_y - 20) == pytest.approx(10, abs=1e-9)
    assert len(x) > 200  # the chords of a radius of 10 mm at 0.0003 mm


def test_arcs_stay_arcs_where_they_are() -> None:
    told = rs274("G0 X30 Y20", "G3 X30 Y20 I-10 J0")
    chain = stroke(told, Faults(x_scale=1.1, y_scale=1.1, offsets={0: (1.0, 2.0)}))
    assert len(chain) == 2
    assert chain.first == pytest.approx((34, 24))


def test_a_quarter_turn_of_a_circle_is_all_that_play_lets_go_round() -> None:
    # Coming from below in x and y: x falls now, so it stands at first; y rises, as it did before.
    told = rs274("G0 X30 Y20", "G3 X20 Y30 I-10 J0")
    chain = stroke(told, Faults(x_play=1.0, y_play=1.0))
    assert chain.first == pytest.approx((29.5, 19.5))
    assert chain.last == pytest.approx((20.5, 29.5))
    bent = chain.points[:, 0] < 29.5
    assert np.hypot(*(chain.points[bent] - (20.5, 19.5)).T) == pytest.approx(10, abs=1e-3)


TOOLS = b"IN;SP1;PU800,0;PD800,400;PU;SP2;PU0,400;PD0,800;PU;SP0;"


def test_each_tool_lands_its_own_offset_away() -> None:
    real = happened(read_hpgl(TOOLS), Faults(offsets={2: (5.0, -1.0)})).reading
    assert real.strokes[0].chain.points == pytest.approx(np.array([(20, 0), (20, 10)]))
    assert real.strokes[1].chain.points == pytest.approx(np.array([(5, 9), (5, 19)]))
    assert real.travel[1].points == pytest.approx(np.array([(25, 9), (5, 9)]))


def test_play_is_kept_over_a_change_of_tools_and_unsure_after_it() -> None:
    happening = happened(read_hpgl(TOOLS), Faults(x_play=1.0))
    assert happening.reading.strokes[0].chain.points[:, 0] == pytest.approx([19.5, 19.5])
    assert happening.reading.strokes[1].chain.points[:, 0] == pytest.approx([0.5, 0.5])
    # From 20 to 0 nobody knows where the carriage stands: first it must be driven 1 mm, which the
    # travel does only if it begins where it was left.
    assert happening.unsure == 0
    assert not check_play(happening).holds


@pytest.mark.parametrize(("travel", "holds"), [
    ("G0 X10 Y0", False),  # the machine may have stood at 10
    ("G0 X8.9 Y0\nG0 X10", True),
    ("G0 X9.1 Y0\nG0 X10", False),
])  # fmt: skip
def test_the_play_must_be_taken_up_whatever_it_was(travel: str, holds: bool) -> None:
    happening = happened(rs274(travel, "X12"), Faults(x_play=1.0))
    assert check_play(happening).holds is holds


def test_a_blade_keeps_its_headings_along_what_is_left_of_a_way() -> None:
    text = UP_AND_DOWN.format(travel="G0 X10 Y0\nG0 A90", cut="G1 X8 A90\nX6 Y8 A100\nA110")
    told = read_rs274(text.encode(), View(turning_axes="A"))
    (done,) = happened(told, Faults(x_play=3.0)).reading.strokes
    assert done.headings is not None
    # The way of 2 mm along x moved nothing; x is pushed on after 1 of the next 2.
    assert len(done.chain) == len(done.headings) == 2
    assert np.degrees(done.headings[0, 0]) == pytest.approx(90)
