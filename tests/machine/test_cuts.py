"""What a profile asks of a tool is in the moves, and the proof of the file finds it so."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, strategies as st

from cutpath.errors import MachineError
from cutpath.geometry.chain import Chain, arc, circle, joined, line, polyline, reversed_chain
from cutpath.geometry.measure import length, signed_area, tangents
from cutpath.machine.cuts import beside, cuts_of
from cutpath.machine.hits import hits
from cutpath.machine.motion import moves_for
from cutpath.machine.turning import headings_along, within_range
from cutpath.model import Feature, Role, Toolpath
from cutpath.moves import Follow, Lower, Travel, Turn
from cutpath.proving import Written, write_and_prove
from cutpath.settings.profile import Profile

BAG = joined(
    [line((100, 140), (100, 100)), line((100, 100), (200, 100)),
     arc((200, 130), 30, -math.pi / 2, math.pi), line((200, 160), (160, 160)),
     line((160, 160), (150, 145)), line((150, 145), (140, 160)), line((140, 160), (100, 160)),
     line((100, 160), (100, 140))],
    closed=True,
)  # fmt: skip
OPENING = polyline([(125, 110), (130, 110), (130, 120), (120, 120), (120, 110)], closed=True)
NOTCH = line((150, 100), (150, 105))


def machine(language: str = "rs274", motion: dict[str, Any] | None = None, **knife: Any) -> Profile:
    tool = {"role": "knife", "number": 1, "speed": 100}
    output: dict[str, Any] = {"end": ["SP0;"]}
    if language == "rs274":
        tool["depth"] = 1
        output = {"arcs": True, "tool_change": ["T{number} M6"]}
    return Profile.model_validate(
        {
            "name": "bare",
            "language": language,
            "bed": {"width": 2000, "height": 1000},
            "motion": motion or {},
            "output": output,
            "tools": {"knife": tool | knife},
        }
    )


def work(*more: Toolpath) -> list[Toolpath]:
    return [
        Toolpath(Role.KNIFE, Feature.NOTCH, "front", NOTCH),
        Toolpath(Role.KNIFE, Feature.INNER, "front", OPENING),
        Toolpath(Role.KNIFE, Feature.OUTLINE, "front", BAG),
        *more,
    ]


def proved(profile: Profile, *more: Toolpath) -> Written:
    return write_and_prove(work(*more), profile)


def failing(written: Written) -> str:
    return " ".join(f"{c.name}: {c.found};" for c in written.proof.checks if not c.holds)


KNIVES: dict[str, dict[str, Any]] = {
    "upright": {"lift_angle": "30 deg", "overcut": 1},
    "wheel": {"lift_angle": "30 deg", "least_radius": 40, "overlap": 2},
    "lead-in": {"lead_in": 4, "lead_speed": 20, "overcut": 1},
    "lead-in at one speed": {"lead_in": 4},
    "turned": {"turned": True, "lift_angle": "30 deg"},
    "turned in place": {"turned": True},
    "turned, with a lead-in": {"turned": True, "lead_in": 4, "lift_angle": "30 deg"},
}


@pytest.mark.parametrize("name", KNIVES)
def test_every_way_to_cut_passes_its_proof(name: str) -> None:
    written = proved(machine(motion={"turning_axis": "A"}, **KNIVES[name]))
    assert written.proof.passed, failing(written)


def test_a_drag_blade_with_a_lead_in_passes_its_proof() -> None:
    written = proved(machine("hp-gl", blade_offset=0.5, lead_in=4, lead_speed=50, overcut=1))
    assert written.proof.passed, failing(written)
    assert b"VS5;" in written.data


def test_a_lead_in_comes_out_of_the_waste_along_the_line() -> None:
    tool = machine(lead_in=4, lead_speed=20).tools["knife"]
    for chain, feature in ((BAG, Feature.OUTLINE), (OPENING, Feature.INNER)):
        for loop in (chain, reversed_chain(chain)):
            (cut,) = cuts_of(loop, feature, tool)
            assert cut.lead is not None
            assert length(cut.lead) == pytest.approx(4 * math.pi / 2)
            rows = np.zeros(1, dtype=np.int64)
            along = tangents(cut.lead, rows, np.ones(1))[0]
            assert along == pytest.approx(tangents(cut.chain, rows, np.zeros(1))[0], abs=1e-9)
            from cutpath.geometry.swept import lengths_inside

            outlines = [BAG if feature is Feature.OUTLINE else circle((120, 115), 90)]
            openings = [] if feature is Feature.OUTLINE else [OPENING]
            (inside,) = lengths_inside([cut.lead], [], outlines, openings, 0.01)
            assert inside < 0.01


def test_a_lead_in_into_the_neighbour_fails_the_proof() -> None:
    neighbour = polyline([(20, 50), (98, 50), (98, 200), (20, 200)], closed=True)
    other = Toolpath(Role.KNIFE, Feature.OUTLINE, "back", neighbour)
    written = proved(machine(lead_in=6), other)
    assert "into a piece" in failing(written)


def test_an_overlap_into_the_neighbour_fails_the_proof() -> None:
    neighbour = polyline([(20, 50), (99, 50), (99, 200), (20, 200)], closed=True)
    other = Toolpath(Role.KNIFE, Feature.OUTLINE, "back", neighbour)
    assert "into a piece" in failing(proved(machine(lift_angle="30 deg", overlap=3), other))


def test_cuts_run_past_corners_into_the_waste_only() -> None:
    tool = machine(lift_angle="30 deg", overlap=2).tools["knife"]
    parts = [cut.chain for cut in cuts_of(BAG, Feature.OUTLINE, tool)]
    ends = {
        (round(float(p[0]), 6), round(float(p[1]), 6)) for c in parts for p in (c.first, c.last)
    }
    assert (100, 98) in ends  # past the corner at (100, 100)
    assert (98, 100) in ends  # and before it on the next side
    assert (150, 145) in ends  # not into the piece
    notch = cuts_of(NOTCH, Feature.NOTCH, tool)[0].chain
    assert length(notch) == pytest.approx(5)


def test_a_tight_arc_is_cut_in_straight_parts() -> None:
    tool = machine(least_radius=40, tolerance=0.1).tools["knife"]
    parts = [cut.chain for cut in cuts_of(BAG, Feature.OUTLINE, tool)]
    assert not any(part.bulges.any() for part in parts)
    # Sagitta s = r (1 − cos(θ/2)) at half of the tolerance.
    step = 2 * math.acos(1 - 0.05 / 30)
    assert len(parts) == math.ceil(math.pi / step) + 2


def test_the_kerf_lies_beside_the_line() -> None:
    for loop in (circle((500, 500), 40), reversed_chain(circle((500, 500), 40))):
        outside = beside(loop, 0.5, -1 if signed_area(loop) > 0 else 1)
        assert abs(signed_area(outside)) == pytest.approx(math.pi * 40.5**2, rel=1e-6)
        assert (signed_area(outside) > 0) == (signed_area(loop) > 0)
        inside = beside(loop, 0.5, 1 if signed_area(loop) > 0 else -1)
        assert abs(signed_area(inside)) == pytest.approx(math.pi * 39.5**2, rel=1e-6)


def test_a_hot_tools_edge_is_the_line_and_a_wrong_kerf_shows() -> None:
    ring = [
        Toolpath(Role.KNIFE, Feature.INNER, "front", circle((500, 500), 20)),
        Toolpath(Role.KNIFE, Feature.OUTLINE, "front", circle((500, 500), 60)),
    ]
    right = machine(kerf=1.2, lead_in=5, lead_speed=5, dwell="0.3 s")
    assert write_and_prove(ring, right).proof.passed
    moves = moves_for(ring, right)
    paths = [move.chain for move in moves if isinstance(move, Follow) and move.speed is None]
    # Cut straight on the line, the edge would be half the kerf off.
    assert abs(np.hypot(*(paths[1].first - [500, 500])) - 60.6) < 1e-6
    assert abs(np.hypot(*(paths[0].first - [500, 500])) - 19.4) < 1e-6


@given(st.floats(1, 6), st.floats(1.01, 4), st.floats(0.05, 0.5))
def test_hits_leave_the_hole_and_no_more(diameter: float, times: float, tolerance: float) -> None:
    hole = diameter * times
    places = hits(np.array([7.0, 8.0]), diameter, hole, tolerance)
    reach = np.hypot(*(places - [7, 8]).T).max() + diameter / 2
    assert reach == pytest.approx(hole / 2)
    angles = np.linspace(0, 2 * math.pi, 721)
    inner = hole / 2 - 0.5 * tolerance - 1e-9
    for radius in np.linspace(0, inner, 25):
        on = np.array([7, 8]) + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)
        gaps = np.hypot(*(on[:, None] - places[None]).transpose(2, 0, 1)).min(axis=1)
        assert gaps.max() <= diameter / 2 + 1e-9


def test_a_punched_hole_is_proved_by_its_edge() -> None:
    drill = Toolpath(Role.DRILL, Feature.DRILL, "front", line((500, 500), (500, 500)))
    punch = machine(role="drill", diameter=3, hole=8, tolerance=0.2, dwell="0.1 s")
    written = write_and_prove([drill], punch)
    assert written.proof.passed, failing(written)
    moves = moves_for([drill], punch)
    first = moves[1]
    assert isinstance(first, Travel)
    assert first.to == pytest.approx((500, 500))  # the edge is cut last


@given(st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=60), st.floats(-6, 6))
def test_the_axis_never_winds_up(turns: list[float], heading: float) -> None:
    points, way = [np.zeros(2)], 0.0
    for turn in [0.0, *turns]:
        way += turn
        points.append(points[-1] + 5 * np.array([math.cos(way), math.sin(way)]))
    run, most = polyline(points), 2 * math.pi
    covered = 0
    for part, first in within_range(run, heading, most):
        along = headings_along(part, first)
        assert along[0, 0] == pytest.approx(first)
        assert np.abs(along).max() <= most + 1e-6
        covered += len(part)
    assert covered == len(run)


def test_the_shorter_turn_is_taken() -> None:
    run = polyline([(0, 0), (10, 0), (10, 10), (0, 10)])
    assert np.degrees(headings_along(run, math.radians(350))[0, 0]) == pytest.approx(360)
    assert np.degrees(headings_along(run, math.radians(350))[2, 1]) == pytest.approx(540)


def test_small_turns_are_made_in_the_cloth_and_sharp_ones_in_the_air() -> None:
    path = polyline([(100, 100), (200, 100), (300, 130), (300, 300)])
    profile = machine(motion={"turning_axis": "A"}, turned=True, lift_angle="30 deg")
    moves = moves_for([Toolpath(Role.KNIFE, Feature.LINE, "front", path)], profile)
    assert sum(isinstance(move, Lower) for move in moves) == 2
    kinds = [type(move).__name__ for move in moves[1:]]
    assert kinds == [
        "Travel", "Turn", "Lower", "Follow", "Turn", "Follow", "Lift",
        "Travel", "Turn", "Lower", "Follow", "Lift",
    ]  # fmt: skip
    last = [move for move in moves if isinstance(move, Turn)][-1]
    assert last.heading == pytest.approx(math.pi / 2)


def test_a_blade_turned_the_wrong_way_fails_the_proof() -> None:
    from cutpath.replay.checks import check_turning
    from cutpath.replay.gcode import read_rs274
    from cutpath.replay.view import View

    profile = machine(motion={"turning_axis": "A"}, turned=True)
    data = proved(profile).data
    wrong = data.replace(b" A180", b" A170", 1)
    assert wrong != data
    for text, holds in ((data, True), (wrong, False)):
        reading = read_rs274(text, View(turning_axes="A"))
        assert check_turning(reading, [1]).holds is holds


def test_tight_arcs_are_paced_and_straights_are_not() -> None:
    profile = machine(motion={"feed_by_radius": True, "acceleration": 120}, speed=100)
    moves = moves_for(work()[2:], profile)
    speeds = [move.speed for move in moves if isinstance(move, Follow)]
    # v = √(a R) = √(120 · 30) = 60 mm/s
    assert speeds == pytest.approx([100, 60, 100])
    assert b"F3600" in proved(profile).data
    assert proved(profile).proof.passed


def test_notches_go_to_their_own_tool() -> None:
    said = machine().model_dump() | {"motion": {}}
    said["tools"]["notcher"] = said["tools"]["knife"] | {"number": 2, "only": ["notch"]}
    profile = Profile.model_validate(said)
    assert profile.tool_name_for(Role.KNIFE) == "knife"
    written = write_and_prove(work(), profile)
    assert written.proof.passed, failing(written)
    assert [tool.asked.name for tool in written.proof.compared] == ["notcher", "knife"]


def test_fewer_blocks_where_the_profile_allows_it() -> None:
    theta = np.linspace(0, 2 * math.pi, 400, endpoint=False)
    wave = 200 + 20 * np.sin(3 * theta)
    loop: Chain = polyline(
        500 + np.stack([wave * np.cos(theta), wave * np.sin(theta)], axis=1), closed=True
    )
    path = [Toolpath(Role.KNIFE, Feature.OUTLINE, "front", loop)]
    plain = machine()
    output = plain.output.model_copy(update={"fit_tolerance": 0.03})
    fewer = plain.model_copy(update={"output": output})
    much, little = write_and_prove(path, plain), write_and_prove(path, fewer)
    assert little.proof.passed
    assert little.data.count(b"\n") * 4 < much.data.count(b"\n")


def test_a_lead_in_off_the_bed_is_refused() -> None:
    edge = polyline([(1, 20), (1, 1), (50, 1), (50, 50), (1, 50)], closed=True)
    with pytest.raises(MachineError, match="off the bed"):
        moves_for([Toolpath(Role.KNIFE, Feature.OUTLINE, "front", edge)], machine(lead_in=4))
