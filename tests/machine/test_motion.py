"""Toolpaths to moves."""

import math

import pytest

from cutpath.errors import MachineError
from cutpath.geometry.chain import cubic, line, polyline
from cutpath.machine.motion import moves_for
from cutpath.model import Role
from cutpath.moves import Dwell, Follow, Lift, Lower, SelectTool, Travel
from cutpath.settings.profile import Profile, load_profile
from tests.machine.machines import cut, profile


def kinds(moves: object) -> list[type]:
    assert isinstance(moves, tuple)
    return [type(move) for move in moves]


def test_each_stroke_is_travel_lower_follow_lift() -> None:
    moves = moves_for([cut(line((0, 0), (9, 0))), cut(line((5, 5), (9, 5)))], profile())
    stroke = [Travel, Lower, Follow, Lift]
    assert kinds(moves) == [SelectTool, *stroke, *stroke]


def test_a_drill_mark_is_a_plunge() -> None:
    machine = profile("rs274", knife={"role": "drill", "dwell": "0.2 s"})
    moves = moves_for([cut(line((7, 8), (7, 8)), Role.DRILL)], machine)
    assert kinds(moves) == [SelectTool, Travel, Lower, Dwell, Lift]


@pytest.mark.parametrize(
    ("origin", "x", "y", "expected"),
    [
        ("near left", "right", "away", (30, 40)),
        ("near right", "away", "left", (40, 1970)),
        ("far left", "right", "near", (30, 960)),
        ("far right", "left", "near", (1970, 960)),
        ("middle", "right", "away", (-970, -460)),
    ],
)
def test_places_are_counted_from_the_origin_along_the_axes(
    origin: str, x: str, y: str, expected: tuple[float, float]
) -> None:
    machine = profile(bed={"origin": origin, "x": x, "y": y})
    move = moves_for([cut(line((30, 40), (50, 60)))], machine)[1]
    assert isinstance(move, Travel)
    assert move.to == pytest.approx(expected)


def test_a_mirrored_machine_turns_arcs_over() -> None:
    from cutpath.geometry.chain import arc

    machine = profile(bed={"origin": "near right", "x": "left"})
    follow = moves_for([cut(arc((500, 500), 10, 0, 1.0))], machine)[3]
    assert isinstance(follow, Follow)
    assert follow.chain.bulges[0] == pytest.approx(-math.tan(0.25))


def test_the_blade_keeps_its_heading_from_stroke_to_stroke() -> None:
    machine = profile(knife={"blade_offset": 0.5})
    up, along = line((100, 100), (100, 200)), line((300, 300), (400, 300))
    moves = moves_for([cut(up), cut(along)], machine)
    landing = moves[5]
    assert isinstance(landing, Travel)
    assert landing.to == pytest.approx((300, 300.5))  # still pointing up, tip on the start


def test_a_move_off_the_bed_names_piece_and_bed() -> None:
    with pytest.raises(MachineError, match=r"front.*2000 × 1000"):
        moves_for([cut(line((0, 0), (2000.5, 0)))], profile())


def test_work_without_a_tool_names_the_roles_there_are() -> None:
    with pytest.raises(MachineError, match="pen") as caught:
        moves_for([cut(line((0, 0), (9, 0)), Role.PEN)], profile())
    assert "knife" in caught.value.remedy


def test_a_pen_can_stand_in_for_a_knife_without_a_tool_change() -> None:
    machine: Profile = load_profile("paper-plotter")
    moves = moves_for([cut(line((0, 0), (9, 0)), Role.PEN), cut(line((9, 0), (9, 9)))], machine)
    assert sum(isinstance(move, SelectTool) for move in moves) == 1


def test_an_upright_knife_is_lifted_at_sharp_corners() -> None:
    machine = profile("rs274", knife={"lift_angle": "30 deg"})
    square = polyline([(0, 0), (9, 0), (9, 9), (0, 9)], closed=True)
    moves = moves_for([cut(square)], machine)
    assert sum(isinstance(move, Lower) for move in moves) == 4


def test_cubics_are_a_mistake_of_the_caller() -> None:
    with pytest.raises(ValueError, match="cubics"):
        moves_for([cut(cubic((0, 0), (1, 1), (2, 1), (3, 0)))], profile())
