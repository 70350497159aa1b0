"""Straps on the table: lanes by the cut list, hot ends, pen marks, and the hot tool's own ways."""

from itertools import pairwise
from typing import Any

import pytest

from cutpath.effort import order_load
from cutpath.errors import InputError
from cutpath.geometry.measure import bounds
from cutpath.model import Feature, Piece, Role
from cutpath.parts.fibres import fibres
from cutpath.parts.webbing import webbings
from cutpath.proving import write_and_prove
from cutpath.settings.job import Job
from cutpath.settings.job_file import JobFile
from cutpath.settings.part_tables.webbing import SEALABLE, Fibre
from cutpath.settings.profile import Profile, load_profile
from cutpath.webbing_loads import StrapLoad, webbing_loads

KIND = {"fibre": "polyester", "width": 25, "thickness": 1.5}


def loads_of(
    *entries: dict[str, Any], profile: Profile | None = None, **kind: Any
) -> tuple[tuple[StrapLoad, ...], list[str]]:
    said = {"webbings": {"w": {**KIND, **kind}}, "webbing": [{"of": "w", **e} for e in entries]}
    job = Job(JobFile.model_validate(said), None)
    machine = profile or load_profile("gantry-hot-rs274")
    loads, findings = webbing_loads(webbings((), job), job, machine)
    return loads, [finding.message for finding in findings]


def pieces_of(loads: tuple[StrapLoad, ...]) -> list[Piece]:
    return [piece for each in loads for piece in each.load.pieces]


def rows(pieces: list[Piece]) -> dict[float, list[tuple[float, float]]]:
    """Give the straps of each lane: from and to along the bed."""
    out: dict[float, list[tuple[float, float]]] = {}
    for piece in pieces:
        x0, y0, x1, _ = bounds(piece.cut)
        out.setdefault(round(y0, 3), []).append((x0, x1))
    return out


def test_straps_of_one_length_lie_in_one_lane_with_shared_cuts() -> None:
    loads, said = loads_of({"length": 600, "count": 4}, on_hand=["3 m"])
    assert said == []
    ((lane,),) = [list(rows(pieces_of(loads)).values())]
    assert len(lane) == 4
    for before, after in pairwise(lane):
        assert after[0] - before[1] == pytest.approx(2)  # what the cut takes
    seals = [bounds(end) for piece in pieces_of(loads) for end in piece.sealed]
    assert len(seals) == 5
    middles = sorted(box[0] for box in seals)
    wanted = [lane[0][0], *(end + 1 for _, end in lane)]
    assert middles == pytest.approx(wanted)
    low, high = {box[1] for box in seals}, {box[3] for box in seals}
    assert high.pop() - low.pop() == pytest.approx(25 + 2 * 6)


def test_lanes_follow_the_cut_list() -> None:
    # 2 of 1000 from the remnant, the other 5 from a roll, three in a lane of 3.2 m.
    loads, _ = loads_of({"length": 996, "count": 7}, on_hand=["2.1 m"])
    lanes = list(rows(pieces_of(loads)).values())
    assert [len(lane) for lane in lanes] == [2, 3, 2]
    assert "1 from the remnant of 2.10 m, 2 from a new roll, 3 from a new roll" in (
        loads[0].load.note
    )


def test_lanes_stay_on_the_bed_and_apart() -> None:
    machine = load_profile("gantry-hot-rs274")
    loads, _ = loads_of({"length": 1500, "count": 150}, profile=machine)
    assert len(loads) > 1
    assert len(pieces_of(loads)) == 150
    for each in loads:
        lows = sorted(rows(list(each.load.pieces)))
        assert all(b - a >= 25 + 2 * 6 for a, b in pairwise(lows))
        for piece in each.load.pieces:
            for end in piece.sealed:
                x0, y0, x1, y1 = bounds(end)
                assert min(x0, y0) >= 0
                assert x1 <= machine.bed.width
                assert y1 <= machine.bed.height


def test_files_are_proved_and_only_the_hot_tool_cuts() -> None:
    loads, _ = loads_of({"length": 600, "turn_backs": [50, 50], "bar": 5, "count": 3})
    ordered = order_load(loads[0].load, loads[0].profile, 2)
    features = [(path.role, path.feature) for path in ordered.toolpaths]
    assert set(features) == {(Role.PEN, Feature.LINE), (Role.HOT, Feature.SEAL)}
    roles = [role for role, _ in features]
    assert Role.PEN not in roles[roles.index(Role.HOT) :]
    # For each strap two folds and two boxes with a cross; four hot cuts.
    assert (roles.count(Role.PEN), roles.count(Role.HOT)) == (3 * 8, 4)
    written = write_and_prove(ordered.toolpaths, loads[0].profile)
    assert written.proof.passed
    assert written.data.count(b"G4 P0.8") == 4


def test_speed_and_wait_come_from_the_webbing_then_the_fibre_then_the_tool() -> None:
    def hot(**kind: Any) -> tuple[float | None, float]:
        (each,), _ = loads_of({"length": 600}, **kind)
        tool = each.profile.tools["hot"]
        return tool.speed, tool.dwell

    assert hot() == (20, 0.8)
    assert hot(fibre="polypropylene") == (30, 0.5)
    assert hot(fibre="polypropylene", speed=25, dwell="0 s") == (25, 0.0)


def test_speed_and_wait_out_of_the_usual_are_told() -> None:
    _, said = loads_of({"length": 600}, speed=200, dwell="5 s")
    assert any("200 mm/s; 15 to 30 are usual" in words for words in said)
    assert any("waits 5 s" in words for words in said)


def test_machines_without_what_it_takes() -> None:
    loads, said = loads_of({"length": 600}, profile=load_profile("flatbed-hpgl"))
    assert loads == ()
    assert "no hot tool" in said[0]
    loads, said = loads_of({"length": "5 m"}, {"length": 600})
    assert [piece.name for piece in pieces_of(loads)] == ["webbing 2"]
    assert "webbing 1" in said[0]
    assert "longer than the bed" in said[0]
    loads, _ = loads_of({"length": 600, "sealed": False})
    assert loads == ()


def test_a_plotter_cannot_wait_for_a_webbing() -> None:
    flatbed = load_profile("flatbed-hpgl")
    knife = flatbed.tools["knife"]
    hot = knife.model_copy(update={"role": Role.HOT, "number": 9, "blade_offset": 0.0})
    machine = flatbed.model_copy(update={"tools": {**flatbed.tools, "hot": hot}})
    with pytest.raises(InputError, match="no instruction to wait") as caught:
        loads_of({"length": 600}, profile=machine, dwell="1 s")
    assert caught.value.source is not None
    assert caught.value.source.key == "webbings.w.dwell"
    loads, _ = loads_of({"length": 600}, profile=machine)
    assert len(loads) == 1


def test_without_a_pen_nothing_is_drawn() -> None:
    machine = load_profile("gantry-hot-rs274")
    tools = {name: tool for name, tool in machine.tools.items() if tool.role is not Role.PEN}
    penless = machine.model_copy(update={"tools": tools})
    loads, _ = loads_of({"length": 600, "turn_backs": [50]}, profile=penless)
    assert all(piece.pen == () for piece in pieces_of(loads))


def test_profiles_keep_heat_from_what_it_must_not_touch() -> None:
    assert set(fibres().sealed) == SEALABLE
    machine = load_profile("gantry-hot-rs274")
    said = machine.model_dump(mode="json")
    said["tools"]["hot"]["fibres"] = {Fibre.PVC.value: {"speed": 20}}
    with pytest.raises(ValueError, match="nothing hot comes near PVC"):
        Profile.model_validate(said)
    said["tools"]["hot"]["fibres"] = {}
    said["tools"]["knife"]["fibres"] = {"nylon": {"speed": 20}}
    with pytest.raises(ValueError, match="for a hot tool"):
        Profile.model_validate(said)
