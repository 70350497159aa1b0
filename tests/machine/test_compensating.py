"""What is told to a faulty machine makes what was wanted happen, by a forward model of its own."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from cutpath.errors import MachineError
from cutpath.geometry.chain import Chain, arc, circle, line, polyline
from cutpath.geometry.flatten import arc_geometry, flatten
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats
from cutpath.machine.compensating import compensated
from cutpath.machine.motion import moves_for
from cutpath.machine.play import turning_points
from cutpath.model import Feature, Pause, Role, Toolpath
from cutpath.moves import Follow, Lower, Move, SelectTool, Travel
from cutpath.settings.profile import Profile
from tests.machine.faulty import FAULTS, all_faults, carried_out, chains, faulty
from tests.machine.machines import cut, profile

RING = circle((600, 400), 50)


def told_chains(moves: tuple[Move, ...]) -> list[Chain]:
    return [move.chain for move in moves if isinstance(move, Follow)]


def told(said: Profile, *lines: Chain) -> tuple[Move, ...]:
    return compensated(moves_for([cut(chain) for chain in lines], said), said)


def gap(asked: Chain, done: Floats) -> float:
    """The largest distance between a line and what is done, both ways."""
    there = nearest(asked, done).distance.max()
    back = nearest(polyline(done), flatten(asked, 0.01).points).distance.max()
    return float(max(there, back))


def test_a_faultless_machine_is_told_what_is_wanted() -> None:
    moves = moves_for([cut(RING)], profile("rs274"))
    assert all(a is b for a, b in zip(moves, compensated(moves, profile("rs274")), strict=True))


@settings(max_examples=10, deadline=None)
@given(st.lists(chains(), min_size=1, max_size=3), all_faults(), st.floats(-1, 1))
def test_what_happens_is_what_was_wanted(
    asked: list[Chain], faults: dict[str, Any], start: float
) -> None:
    said = faulty(faults, knife=(7.0, -4.0))
    done = carried_out(told(said, *asked), said, start)
    assert len(done) == len(asked)
    for chain, points in zip(asked, done, strict=True):
        assert gap(chain, points) < 1.5e-3  # 0.0005 of arcs, 0.0006 of turns too small to take up


def test_arcs_stay_arcs_where_circles_stay_circles() -> None:
    for faults in ({"x_scale": 1.01, "y_scale": 1.01}, {}):
        (chain,) = told_chains(told(faulty(faults, knife=(3, 2)), RING))
        assert len(chain) == len(RING)
        radius = arc_geometry(chain)[1]
        assert radius == pytest.approx(50 / faults.get("x_scale", 1.0))


# An affine image of a circle is an ellipse: told places of a leaning, unevenly stretched machine
# satisfy (x' − c)² + (y' − d)² = r² after its map.
def test_arcs_of_ellipses_stay_within_half_a_micrometre_of_tolerance() -> None:
    faults = {"x_scale": 1.003, "y_scale": 0.996, "skew": "2 deg"}
    (chain,) = told_chains(told(faulty(faults), RING))
    assert chain.is_arc.all()
    assert 8 <= len(chain) <= 40  # arcs, not chords
    x, y = flatten(chain, 1e-6).points.T
    lean = math.radians(2)
    real = np.hypot(1.003 * x + 0.996 * y * math.sin(lean) - 600, 0.996 * y * math.cos(lean) - 400)
    assert np.abs(real - 50).max() < 6e-4


def standing(chain: Chain, said: Profile) -> int:
    """How many legs take play up: as long as the play of one or both axes, along them."""
    b = said.compensation
    ways = np.abs(chain.ends - chain.starts)
    sides = [(b.x_backlash, 0), (0, b.y_backlash), (b.x_backlash, b.y_backlash)]
    return int(sum((np.abs(ways - side).max(axis=1) < 1e-9).sum() for side in sides))


# A circle turns back twice along each axis; where its start is one of the four places, that one is
# taken up before it begins.
@pytest.mark.parametrize(("first", "count"), [(0.0, 3), (0.3, 4)])
def test_a_circle_is_parted_where_it_turns_back(first: float, count: int) -> None:
    said = faulty(FAULTS["play"])
    (chain,) = told_chains(told(said, arc((600, 400), 50, first, 2 * math.pi)))
    assert standing(chain, said) == count


def test_the_turning_places_are_those_of_the_leaning_axes() -> None:
    said = faulty({"skew": "3 deg", "x_backlash": "0.2 mm"})
    (chain,) = told_chains(told(said, arc((600, 400), 50, 0.3, 2 * math.pi)))
    legs = np.flatnonzero(np.abs(np.abs((chain.ends - chain.starts)[:, 0]) - 0.2) < 1e-9)
    # The carriage turns back along x where the wanted line runs along the leaning y axis.
    lean = math.radians(3)
    y = chain.starts[legs, 1] * math.cos(lean)
    assert np.abs(y - 400) == pytest.approx(50 * math.sin(lean), abs=0.01)


def test_a_straight_line_needs_no_take_up() -> None:
    said = faulty(FAULTS["play"])
    (chain,) = told_chains(told(said, line((100, 100), (400, 300))))
    assert len(chain) == 1
    assert chain.points == pytest.approx(np.array([[100.2, 100.125], [400.2, 300.125]]))


def test_the_first_place_is_come_to_from_the_side_of_the_line() -> None:
    said = faulty(FAULTS["play"])
    travel = [m.to for m in told(said, line((500, 400), (400, 300))) if isinstance(m, Travel)]
    assert len(travel) == 2
    assert (travel[0] > travel[1] + (0.4, 0.25)).all()
    assert (travel[0] < travel[1] + (0.7, 0.5)).all()


def test_a_place_on_the_way_is_come_to_at_once() -> None:
    said = faulty(FAULTS["play"])
    moves = told(said, line((100, 100), (200, 200)), line((300, 300), (400, 400)))
    # The second goes on as the first did.
    assert sum(isinstance(move, Travel) for move in moves) == 3


def test_after_a_change_of_tools_nothing_is_known_of_the_play() -> None:
    said = faulty(FAULTS["play"])
    pen = said.tools["knife"].model_copy(update={"role": Role.PEN, "number": 2})
    said = said.model_copy(update={"tools": {**said.tools, "pen": pen}})
    work = [
        Toolpath(role, Feature.LINE, "front", line((x, x), (x + 100, x + 100)))
        for role, x in ((Role.PEN, 100), (Role.KNIFE, 300))
    ]
    kinds = [type(move) for move in compensated(moves_for(work, said), said)]
    assert kinds.count(Travel) == 4
    second = len(kinds) - 1 - kinds[::-1].index(SelectTool)
    assert kinds[second : second + 4] == [SelectTool, Travel, Travel, Lower]


def test_play_is_not_taken_up_for_lines_that_only_tremble() -> None:
    said = faulty({"x_backlash": "0.3 mm"})
    y = np.arange(100.0, 400.0)
    x = 200 + np.where(np.arange(len(y)) % 2, 1e-4, -1e-4)
    (chain,) = told_chains(told(said, polyline(np.stack([x, y], axis=1))))
    assert len(chain) == len(y) - 1


@pytest.mark.parametrize(
    ("places", "expected"),
    [
        ([0, 1, 2], (1, [])),
        ([0, -1, -2, 3, 1], (-1, [2, 3])),
        ([0, 0.05, 0, 0.05], (0, [])),
        ([0, 0.05, -0.2, -0.15, -0.4, 0], (-1, [4])),
        ([5, 5, 5, 6, 4], (1, [3])),
    ],
)
def test_turning_points(places: list[float], expected: tuple[int, list[int]]) -> None:
    assert turning_points(places, 0.1) == expected


def test_a_tool_cannot_work_where_its_carriage_cannot_go() -> None:
    said = faulty({}, knife=(40.0, 0.0))
    with pytest.raises(MachineError, match="offset of 40, 0 mm"):
        moves_for([cut(line((20, 100), (80, 100)))], said)
    moves_for([cut(line((40, 100), (80, 100)))], said)


def test_a_wait_at_the_corner_is_moved_to_where_the_tool_can_be() -> None:
    said = faulty({}, knife=(40.0, 0.0))
    path = Toolpath(
        Role.KNIFE, Feature.LINE, "front", line((80, 100), (90, 100)), Pause(np.zeros(2), 2.0)
    )
    first = next(move for move in moves_for([path], said) if isinstance(move, Travel))
    assert first.to == pytest.approx((40, 0))


def test_a_tool_that_waits_stands_where_it_should_too() -> None:
    said = faulty(FAULTS["play"])
    wait = Pause(np.array([100.0, 700.0]), 2.0)
    paths = [cut(line((300, 300), (400, 200)))]
    paths.append(Toolpath(Role.KNIFE, Feature.LINE, "front", line((50, 50), (60, 60)), wait))
    stop = next(
        move.to
        for move in compensated(moves_for(paths, said), said)
        if isinstance(move, Travel) and move.to[1] > 600
    )
    # It comes there driven to the left, and away.
    assert stop == pytest.approx((100 - 0.2, 700 + 0.125))


def test_the_approach_stays_on_the_bed() -> None:
    said = faulty(FAULTS["all"])
    moves = told(said, line((0, 0), (100, 100)), line((2000, 1000), (1900, 900)))
    lean, b = said.compensation, said.compensation
    for move in moves:
        if isinstance(move, Travel):
            x = lean.x_scale * move.to[0] + lean.y_scale * move.to[1] * math.sin(lean.skew)
            y = lean.y_scale * move.to[1] * math.cos(lean.skew)
            # What is told is off by half of the play; what happens is on the bed.
            assert -0.8 * b.x_backlash <= x <= 2000 + 0.8 * b.x_backlash
            assert -0.8 * b.y_backlash <= y <= 1000 + 0.8 * b.y_backlash
