"""What is left of a job: proved anew, whole, with a mark over a point that was made before."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from cutpath.check_mark import check_mark, known_point
from cutpath.errors import InputError
from cutpath.geometry.chain import Chain, line, polyline
from cutpath.geometry.transform import transformed
from cutpath.model import Feature, Role, Toolpath
from cutpath.pipeline import cut
from cutpath.planning import Request
from cutpath.proving import write_and_prove
from cutpath.remaining import piece_of, rest_of
from cutpath.replay.gcode import read_rs274
from cutpath.replay.hpgl import read_hpgl
from cutpath.replay.view import View
from cutpath.run_making import RunTitle, make_run
from cutpath.run_model import Run
from cutpath.settings.profile import Language, Profile, load_profile
from cutpath.settings.quantities import IN_RADIANS

TOOL_ROLL = Path(__file__).parents[1] / "samples/tool-roll/tool-roll.svg"
MACHINES = ("flatbed-hpgl", "gantry-rs274", "gantry-oscillating")


@cache
def job(machine: str) -> Run:
    return cut(Request(TOOL_ROLL, machine, 12.7)).files[0].run


def lines_of(run: Run) -> list[tuple[str, str, bytes]]:
    """What a run cuts and draws, check marks left out."""
    paths = [stroke.toolpath for stroke in run.strokes]
    return [
        (path.piece, path.feature.value, path.chain.points.tobytes())
        for path in paths
        if path.feature is not Feature.CHECK
    ]


@pytest.mark.parametrize("machine", MACHINES)
def test_both_runs_are_the_job_from_wherever_it_is_resumed(machine: str) -> None:
    whole = job(machine)
    count = len(whole.strokes)
    for start in (0, 1, count // 3, count // 2, count - 1):
        rest = rest_of(whole, start, start + 1)
        assert lines_of(whole)[:start] + lines_of(rest.run) == lines_of(whole)
        assert rest.run.name == f"tool-roll-rest{Path(whole.name).suffix}"
        assert (rest.words == "") == (start == 0)
        assert rest.run.strokes[0].first > 0  # it begins as every file does


def first_strokes(run: Run) -> tuple[list[Chain], list[Chain]]:
    """What a run's file does first, by its language's reader: tool-down runs and travels."""
    output = run.profile.output
    view = View(
        units_per_mm=output.units_per_mm, largest_number=output.largest_number,
        surface=output.surface,
    )  # fmt: skip
    read = read_rs274 if run.profile.language is Language.RS274 else read_hpgl
    reading = read(run.data, view)
    return [stroke.chain for stroke in reading.strokes], list(reading.travel)


@pytest.mark.parametrize("machine", ["flatbed-hpgl", "gantry-rs274"])
def test_the_pen_crosses_a_point_that_was_made(machine: str) -> None:
    whole = job(machine)
    start = next(n for n, each in enumerate(whole.strokes) if each.toolpath.role is Role.KNIFE) + 9
    rest = rest_of(whole, start, start + 1)
    point = known_point(
        [each.toolpath for each in whole.strokes[:start] if each.toolpath.role is Role.PEN][-1]
    )
    matrix = whole.profile.bed_to_machine()
    middle = transformed(line(point, point), matrix).first
    drawn, _ = first_strokes(rest.run)
    for stroke in drawn[:2]:
        assert stroke.points.mean(axis=0) == pytest.approx(middle, abs=0.05)
        assert np.hypot(*(stroke.last - stroke.first)) == pytest.approx(6.0, abs=0.05)
    assert f"x {point[0]:.1f}, y {point[1]:.1f} mm" in rest.words


def without_pen(name: str) -> Profile:
    profile = load_profile(name)
    tools = {key: tool for key, tool in profile.tools.items() if Role.PEN not in tool.roles}
    return profile.model_copy(update={"tools": tools})


@pytest.mark.parametrize("machine", ["flatbed-hpgl", "gantry-rs274"])
def test_without_a_pen_the_tool_stands_over_it_and_touches_nothing(machine: str) -> None:
    profile = without_pen(machine)
    loops = [
        polyline([(x, 50), (x + 80, 50), (x + 80, 130), (x + 10, 170)], closed=True)
        for x in (50, 200, 350)
    ]
    paths = [Toolpath(Role.KNIFE, Feature.OUTLINE, f"p{n}", loop) for n, loop in enumerate(loops)]
    run = make_run(
        RunTitle("a.plt", "j", machine, "c"), paths, write_and_prove(paths, profile), profile
    )
    rest = rest_of(run, 2, 3)
    assert rest.check is None
    assert rest.run.strokes[0].toolpath.is_dry
    point = known_point(paths[1])
    matrix = profile.bed_to_machine()
    over = transformed(line(point, point), matrix).first
    down, travel = first_strokes(rest.run)
    assert any(np.abs(chain.last - over).max() < 0.05 for chain in travel[:2])
    assert all(np.abs(chain.points - over).max(axis=1).min() > 50 for chain in down)
    first = rest.run.strokes[0]
    bytes_ = rest.run.data[first.first : first.last]
    assert b"PD" not in bytes_
    assert b"G1" not in bytes_
    if profile.language is Language.RS274:
        assert b"G4" in bytes_  # it stands a while


def test_the_sharpest_corner_is_the_known_point() -> None:
    loop = polyline([(0, 0), (100, 0), (100, 50), (60, 200)], closed=True)
    path = Toolpath(Role.KNIFE, Feature.OUTLINE, "p", loop)
    assert known_point(path).tolist() == [60, 200]
    stroke = replace(path, chain=line((1, 2), (3, 4)))
    assert known_point(stroke).tolist() == [3, 4]


def test_a_rest_is_resumed_again() -> None:
    whole = job("flatbed-hpgl")
    start = len(whole.strokes) // 2
    first = rest_of(whole, start, start + 1).run
    second = rest_of(first, 3, 4)  # right after the cross and one stroke
    assert second.run.name == first.name
    assert lines_of(second.run) == lines_of(whole)[start + 1 :]
    third = rest_of(first, 2, 3)  # nothing but the cross was made
    assert "cross" in third.words
    assert lines_of(third.run) == lines_of(whole)[start:]


@pytest.mark.parametrize("machine", MACHINES)
def test_a_piece_is_cut_again_alone_and_in_its_place(machine: str) -> None:
    whole = job(machine)
    for piece in ("BACK", "TIE-1"):
        run = piece_of(whole, piece)
        assert lines_of(run) == [each for each in lines_of(whole) if each[0] == piece]
        assert run.pieces == (piece,)
    with pytest.raises(InputError, match="no piece 'BACKS'"):
        piece_of(whole, "BACKS")


def test_hot_cuts_of_a_piece_cool_though_nothing_fills_the_time() -> None:
    profile = load_profile("gantry-hot-rs274")
    cool = next(tool for tool in profile.tools.values() if tool.cool_time)
    ends = [line((x, 100), (x, 140)) for x in (100, 400, 110, 410, 120)]
    names = ["a", "b", "a", "b", "a"]
    paths = [
        Toolpath(Role.HOT, Feature.SEAL, name, end) for name, end in zip(names, ends, strict=True)
    ]
    # Far apart in time only by what lies between them.
    slow = profile.model_copy(
        update={"tools": profile.tools | {"hot": cool.model_copy(update={"speed": 4.0})}}
    )
    written = write_and_prove(paths, slow)
    assert written.proof.passed
    run = make_run(RunTitle("a.ngc", "j", "m", "c"), paths, written, slow)
    again = piece_of(run, "a")
    assert len(again.strokes) == 3
    assert again.seconds > 2 * cool.cool_time


def test_cloth_that_moved_on_is_not_gone_back_on() -> None:
    said = load_profile("flatbed-hpgl").model_dump(mode="json")
    said["tools"] = {"knife": {"role": "knife", "number": 1, "tolerance": 0.2}}
    said |= {"advance": {"lines": ["FA{advance};"]}}
    profile = Profile.model_validate(said, context=IN_RADIANS)
    loops = [polyline([(50, 50), (150, 50), (150, 90 + n)], closed=True) for n in range(4)]
    paths = [
        Toolpath(Role.KNIFE, Feature.OUTLINE, f"p{n}", loop, advance=800.0 if n == 2 else 0.0)
        for n, loop in enumerate(loops)
    ]
    written = write_and_prove(paths, profile)
    assert written.proof.passed
    run = make_run(RunTitle("a.plt", "j", "m", "c"), paths, written, profile)

    def advances(rest: Run) -> list[float]:
        return [stroke.toolpath.advance for stroke in rest.strokes if stroke.toolpath.advance]

    assert advances(rest_of(run, 1, 2).run) == [800.0]
    assert advances(rest_of(run, 2, 2).run) == [800.0]  # not begun: it must still move
    assert rest_of(run, 2, 2).words == ""  # and what was made will be gone from the bed
    assert advances(rest_of(run, 2, 3).run) == []  # begun: it has moved
    assert rest_of(run, 2, 3).words == ""  # of this frame nothing was made
    assert rest_of(run, 3, 4).words
    with pytest.raises(InputError, match="800 mm back"):
        rest_of(run, 1, 3)
    assert advances(piece_of(run, "p3")) == []


def test_nothing_left_is_told() -> None:
    run = job("flatbed-hpgl")
    with pytest.raises(InputError, match="nothing is left"):
        rest_of(run, len(run.strokes), len(run.strokes))
    with pytest.raises(InputError, match="no stroke"):
        rest_of(run, len(run.strokes) + 5, 0)


def test_a_mark_that_no_tool_reaches_gives_way_to_one_that_is_reached() -> None:
    profile = load_profile("flatbed-hpgl")
    inside = Toolpath(Role.PEN, Feature.LINE, "p", line((20, 20), (60, 60)))
    at_edge = Toolpath(Role.PEN, Feature.LINE, "p", line((20, 20), (0, 50)))
    run = job("flatbed-hpgl")
    mark = check_mark([inside, at_edge], run.strokes[-1], profile)
    assert mark is not None
    assert not mark.paths[0].is_dry
    assert mark.paths[0].chain.points.mean(axis=0) == pytest.approx([60, 60])
