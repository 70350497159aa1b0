"""Every shipped class of machine cuts the samples that it can, and says why it cannot the others.

Times are checked against the lines' own length: no machine is quicker than its fastest tool.
"""

from functools import cache
from pathlib import Path

import pytest

from cutpath.errors import MachineError
from cutpath.model import Feature, Role
from cutpath.pipeline import Cut, cut
from cutpath.planning import Request
from cutpath.settings.profile import load_profile

SAMPLES = Path(__file__).parents[2] / "samples"
ROLL = SAMPLES / "tool-roll/tool-roll.svg"
STALL = SAMPLES / "market-stall/job.toml"
SHELTER = SAMPLES / "bow-shelter/whole.toml"
CLASSES = (
    "conveyor-hpgl", "desk-cutter", "drawing-arm", "flatbed-tangential", "gantry-oscillating",
)  # fmt: skip


@cache
def outcome(source: Path, machine: str) -> Cut:
    return cut(Request(source, machine, 12.7 if source is ROLL else None))


@pytest.mark.parametrize("machine", CLASSES)
def test_the_tool_roll_is_cut_on_every_class(machine: str) -> None:
    done = outcome(ROLL, machine)
    assert done.passed
    pieces = {piece.name for file in done.files for piece in file.load.pieces}
    assert len(pieces) == 10
    fastest = max(tool.speed or 0.0 for tool in done.profile.tools.values())
    for file in done.files:
        way = sum(tool.work_mm for tool in file.written.clock.tools.values())
        assert way / fastest < file.written.clock.total < 900


@pytest.mark.parametrize("machine", ["desk-cutter", "drawing-arm"])
def test_a_small_machine_refuses_what_is_too_large(machine: str) -> None:
    with pytest.raises(MachineError, match=r"piece 'wall' is 2159 .* does not fit"):
        outcome(STALL, machine)


@pytest.mark.parametrize("machine", ["conveyor-hpgl", "gantry-oscillating"])
def test_the_market_stall_is_cut_where_it_has_room(machine: str) -> None:
    assert outcome(STALL, machine).passed


def test_notches_go_to_the_tool_that_only_makes_them() -> None:
    done = outcome(STALL, "gantry-oscillating")
    names = {
        path.feature: done.profile.tool_name_of(path)
        for file in done.files
        for path in file.toolpaths
        if path.role is Role.KNIFE
    }
    assert names == {Feature.NOTCH: "notcher", Feature.OUTLINE: "knife"}
    (file,) = done.files
    assert file.written.data.count(b"T4 M6") == 1


def test_lead_ins_and_overlaps_keep_to_the_waste() -> None:
    for file in outcome(ROLL, "gantry-oscillating").files:
        found = {check.name: check.holds for check in file.written.proof.checks}
        assert found["extra cuts in the waste"]
        assert found["blade along the line"]


def test_the_bench_cuts_and_seals_straps_and_leaves_cloth() -> None:
    done = outcome(SHELTER, "webbing-bench")
    assert done.passed
    features = [path.feature for file in done.files for path in file.toolpaths]
    assert set(features) == {Feature.LINE, Feature.SEAL}
    assert features.count(Feature.SEAL) == 4  # three straps in a row share their cuts
    assert any("has no knife" in finding.message for finding in done.findings)


def test_the_bench_has_nothing_to_do_without_straps() -> None:
    with pytest.raises(MachineError, match="no tool for the role 'knife'"):
        outcome(STALL, "webbing-bench")


def test_a_pen_lowered_by_code_leaves_no_comments_and_no_change_of_tools() -> None:
    profile = load_profile("drawing-arm")
    for file in outcome(ROLL, "drawing-arm").files:
        lines = file.written.data.decode("ascii").splitlines()
        assert max(map(len, lines)) <= profile.output.longest_line
        assert not any("(" in line or "M6" in line or "Z" in line for line in lines)
        assert lines.count("M3 S60") == lines.count("M5")
