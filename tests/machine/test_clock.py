"""The clock adds up what each tool's time goes into."""

import math

import numpy as np
import pytest

from cutpath.geometry.chain import line, polyline
from cutpath.machine.clock import machine_time
from cutpath.machine.motion import moves_for
from cutpath.model import Role
from cutpath.moves import Dwell, Follow, Lift, Lower, Move, SelectTool, Travel, Turn
from cutpath.settings.profile import Profile, load_profile
from tests.machine.machines import cut, profile


def timed(motion: dict[str, float], **knife: object) -> Profile:
    machine = profile(knife={"speed": 100} | knife)
    return machine.model_copy(update={"motion": machine.motion.model_copy(update=motion)})


def test_one_stroke_by_hand() -> None:
    machine = timed(
        {"travel_speed": 500, "acceleration": 1000, "lift_time": 0.3, "lower_time": 0.2,
         "tool_change_time": 7}
    )  # fmt: skip
    clock = machine_time(moves_for([cut(line((1000, 0), (1200, 0)))], machine), machine)
    tool = clock.tools["knife"]
    assert tool.travel == pytest.approx(1000 / 500 + 500 / 1000)
    assert tool.work == pytest.approx(200 / 100 + 100 / 1000)
    assert tool.lifts == pytest.approx(0.5)
    assert tool.changes == 7
    assert clock.total == pytest.approx(2.5 + 2.1 + 0.5 + 7)
    assert (tool.travel_mm, tool.work_mm) == pytest.approx((1000, 200))


def test_lowering_by_z_takes_the_plunge_speed() -> None:
    machine = profile(
        "rs274",
        output={"travel_height": 9},
        knife={"depth": 1, "plunge_speed": 20, "dwell": "0.4 s"},
    )
    tool = machine_time(moves_for([cut(line((0, 0), (9, 0)))], machine), machine).tools["knife"]
    assert tool.lifts == pytest.approx(10 / 20 + 10 / 400)
    assert tool.waits == pytest.approx(0.4)


def test_two_runs_without_a_lift_are_one() -> None:
    machine = timed({"acceleration": 500})
    place = np.zeros(2)
    first, second = Follow(line((0, 0), (300, 0))), Follow(line((300, 0), (700, 0)))
    whole = Follow(line((0, 0), (700, 0)))
    start: list[Move] = [SelectTool("knife"), Travel(place), Lower()]
    parts = machine_time([*start, first, second, Lift()], machine)
    assert parts.total == pytest.approx(machine_time([*start, whole, Lift()], machine).total)
    turned = machine_time([*start, first, Turn(math.pi / 2), second, Lift()], machine)
    # It slows down, turns 90° at 720°/s, and speeds up again.
    assert turned.total - parts.total == pytest.approx(90 / 720 + 100 / 500)


def test_a_slow_beginning_counts() -> None:
    machine = timed({"acceleration": 1e5})
    slow = Follow(line((0, 0), (10, 0)), speed=5.0)
    moves: list[Move] = [
        SelectTool("knife"),
        Travel(np.zeros(2)),
        Lower(),
        slow,
        Dwell(1.5),
        Lift(),
    ]
    tool = machine_time(moves, machine).tools["knife"]
    assert tool.work == pytest.approx(2, rel=1e-3)
    assert tool.waits == 1.5


def test_every_tool_has_its_own_time() -> None:
    machine = load_profile("flatbed-hpgl")
    square = polyline([(10, 10), (90, 10), (90, 90), (10, 90)], closed=True)
    work = [cut(square, Role.PEN), cut(square)]
    clock = machine_time(moves_for(work, machine), machine)
    assert list(clock.tools) == ["pen", "knife"]
    assert clock.total == pytest.approx(sum(tool.total for tool in clock.tools.values()))
    assert clock.as_dict()["pen"] == round(clock.tools["pen"].total, 1)
