"""Patterns for shipped profiles, read back from their bytes: they do what their forms say.

Each pattern for some machines and each machine with some patterns; all pairs are made by
``python -m tests.benchmarks.soak_patterns``.
"""

import math
import re

import numpy as np
import pytest

from cutpath.bench.catalogue import CATALOGUE, patterns_for
from cutpath.bench.pattern_model import Wish
from cutpath.model import Role
from cutpath.patterning import Patterned, make_patterned
from cutpath.settings.profile import load_profile, shipped_profiles
from tests.bench.measuring import measured
from tests.bench.read_back import (
    Faults,
    all_lines,
    crossings,
    lines_of,
    read_vernier,
    spot,
    vernier_at,
)

GRID = 0.04
"""mm; a plotter's step is 0.025, and a line has two ends."""
MACHINES = sorted(shipped_profiles())
ABLE = {machine: patterns_for(load_profile(machine)) for machine in MACHINES}
SMALL = {"scale": (300.0, 200.0), "advance": (200.0, 160.0)}
MADE: dict[tuple[str, str], Patterned] = {}


def _made(name: str, machine: str) -> Patterned:
    if (name, machine) not in MADE:
        MADE[name, machine] = make_patterned(name, machine, Wish(size=SMALL.get(name)))
    return MADE[name, machine]


def _values(made: Patterned) -> list[str]:
    values = made.pattern.settings["values"]
    assert isinstance(values, tuple)
    return [str(value).removesuffix(" mm") for value in values]


def _makers(name: str) -> list[str]:
    return [machine for machine in MACHINES if name in ABLE[machine]]


def _some(name: str) -> list[str]:
    """Give every third machine that makes the pattern, beginning with another one for each."""
    makers = _makers(name)
    return makers[list(CATALOGUE).index(name) % 3 % len(makers) :: 3]


EACH = [(name, machine) for name in CATALOGUE for machine in _some(name)]


@pytest.mark.parametrize(("name", "machine"), EACH)
def test_every_file_passes_its_proof(name: str, machine: str) -> None:
    made = _made(name, machine)
    assert made.files
    for file in made.files:
        file.written.proof.require(file.name)
        assert file.written.reading.strokes


def test_machines_make_what_they_have_tools_for() -> None:
    pens_only = ("scale", "backlash", "ladder", "repeat", "advance")
    assert patterns_for(load_profile("paper-plotter")) == pens_only
    assert set(CATALOGUE) - set(patterns_for(load_profile("flatbed-hpgl"))) == {"lift"}
    assert patterns_for(load_profile("gantry-hot-rs274")) == tuple(CATALOGUE)


@pytest.mark.parametrize("machine", _some("scale"))
def test_scale_is_told_as_its_form_says(machine: str) -> None:
    made = _made("scale", machine)
    found = np.array(crossings(all_lines(made)))
    assert len(found) == 9
    for gauge in made.pattern.gauges:
        ends = [found[np.hypot(*(found - spot(gauge, made.profile, k)).T).argmin()] for k in (0, 1)]
        assert math.dist(*ends) == pytest.approx(gauge.told, abs=GRID), gauge.key
    # Every cross is met driving x and y towards +, so that play cancels.
    assert all((line.came > 0).all() for line in all_lines(made))


@pytest.mark.parametrize("machine", ["flatbed-hpgl", "gantry-hot-rs274"])
def test_backlash_ticks_are_met_from_both_sides(machine: str) -> None:
    made = _made("backlash", machine)
    lines = all_lines(made)
    for gauge in made.pattern.gauges:
        axis = "xy".index(gauge.key[0])
        scale, slide = vernier_at(lines, spot(gauge, made.profile), axis)
        assert len(scale.stations) == 31
        assert len(slide.stations) == 21
        assert read_vernier(scale, slide) == pytest.approx(0.0, abs=1e-9)
        assert (scale.came > 0).all()
        assert (slide.came < 0).all()


@pytest.mark.parametrize("machine", ["flatbed-hpgl2", "gantry-hot-rs274"])
def test_scales_and_slides_of_tools_stand_zero_to_zero(machine: str) -> None:
    made = _made("tools", machine)
    lines = all_lines(made)
    for gauge in made.pattern.gauges:
        axis = "xy".index(gauge.key[1])
        scale, slide = vernier_at(lines, spot(gauge, made.profile), axis, gauge.tool)
        assert np.diff(scale.stations) == pytest.approx(2.0, abs=GRID)
        assert np.diff(slide.stations) == pytest.approx(1.9, abs=GRID)
        assert read_vernier(scale, slide) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("machine", _some("blade"))
def test_blade_slits_corners_and_discs_are_told_as_said(machine: str) -> None:
    made = _made("blade", machine)
    lines = [line for line in all_lines(made) if line.tool == made.pattern.settings["tool"]]
    for gauge in made.pattern.gauges:
        at = spot(gauge, made.profile)
        near = [line for line in lines if np.hypot(*(line.points - at).T).min() < GRID]
        kind, _, word = gauge.key.partition("_")
        if kind == "gap":
            # Two slits, met from both sides, are told to end at one place.
            ends = [line.points[-1] for line in near]
            ways = [line.points[-1] - line.points[-60] for line in near]
            assert len(near) == 2
            assert math.dist(*ends) < GRID
            assert float(ways[0] @ ways[1]) == pytest.approx(-(15**2), rel=0.05)
        elif kind == "corner":
            assert len(near) == 1
            into, out = at - near[0].points[0], near[0].points[-1] - at
            turn = math.atan2(into[0] * out[1] - into[1] * out[0], into @ out)
            assert abs(math.degrees(turn)) == pytest.approx(float(word), abs=0.1)
        else:
            ring = min(lines, key=lambda line: abs(np.hypot(*(line.points - at).T).min() - 5))
            ring = next(
                line
                for line in lines
                if abs(np.median(np.hypot(*(line.points - at).T)) - float(word)) < GRID
            )
            turns = np.unwrap(np.arctan2(*(ring.points - at)[60:].T[::-1]))
            assert abs(turns[-1] - turns[0]) > 1.4 * 2 * math.pi - 1
            assert gauge.told == 2 * float(word)


@pytest.mark.parametrize("machine", _some("overcut"))
def test_each_closed_cut_runs_its_own_overcut_past_its_start(machine: str) -> None:
    made = _made("overcut", machine)
    tool = str(made.pattern.settings["tool"])
    trail = {tool: made.profile.tools[tool].blade_offset}
    lines = all_lines(made, Faults(trails=trail))
    told = [float(value) for value in _values(made)]
    assert len(lines) == 3 * len(told)
    for number, line in enumerate(lines):
        value = told[number % len(told)]
        first, last = line.points[0], line.points[-1]
        assert math.dist(first, last) == pytest.approx(value, abs=0.06)


@pytest.mark.parametrize("machine", _some("repeat"))
def test_repeat_ticks_stand_in_line_and_are_met_from_all_sides(machine: str) -> None:
    made = _made("repeat", machine)
    lines = all_lines(made)
    for axis, gauge in enumerate(made.pattern.gauges):
        row = [line for line in lines if np.ptp(line.points[:, axis]) < 1e-9]
        assert len(row) == 8
        assert np.ptp([line.points[0, axis] for line in row]) < 1e-9
        quadrants = {tuple(np.sign(line.came).tolist()) for line in row}
        assert len(quadrants) == 4
        assert gauge.told == 0.0


@pytest.mark.parametrize("machine", ["flatbed-hpgl", "paper-plotter-small", "conveyor-hpgl"])
def test_both_frames_meet_where_the_cloth_goes_as_told(machine: str) -> None:
    made = _made("advance", machine)
    axis = int(np.abs(made.profile.run_in_machine()).argmax())
    for far in (0.0, 0.35) if machine == "flatbed-hpgl" else (-2.6,):
        # Seen from the scale, the slide of a cloth that went farther lies farther on.
        lines = all_lines(made, Faults(advance_scale=1 + far / 200.0))
        for gauge in made.pattern.gauges:
            scale, slide = vernier_at(lines, spot(gauge, made.profile, 1), axis)
            assert read_vernier(scale, slide) == pytest.approx(far, abs=0.026)


@pytest.mark.parametrize("machine", _some("drill"))
def test_holes_are_told_in_the_middle_of_their_windows(machine: str) -> None:
    made = _made("drill", machine)
    values = measured(made, Faults())
    assert set(values) == {f"d{axis}{number}" for axis in "xy" for number in (1, 2, 3)}
    assert list(values.values()) == pytest.approx([0.0] * 6, abs=GRID)
    # Play shifts the window's lines and the hole alike.
    values = measured(made, Faults(play=(0.3, 0.2)))
    assert list(values.values()) == pytest.approx([0.0] * 6, abs=GRID)


def test_ladder_of_force_says_each_cell_s_speed_and_force() -> None:
    text = _made("ladder", "flatbed-hpgl").files[0].written.data.decode()
    cells = text.split("SP3;")[1]
    forces = [int(force) for force in re.findall(r"FS(\d+);", cells)]
    assert forces == [20, *([10, 15, 20, 25, 30] * 5)]
    speeds = [float(speed) * 10 for speed in re.findall(r"VS([\d.]+);", cells)]
    assert speeds == [300, 120, 210, 300, 390, 480]


def test_ladder_of_depth_says_each_cell_s_speed_and_depth() -> None:
    text = _made("ladder", "gantry-rs274").files[0].written.data.decode()
    cells = text.split("T3 M6")[1]
    depths = [float(z) for z in re.findall(r"G1 Z-([\d.]+)", cells)]
    # The corner of the shape is past the knife's lift angle: three strokes a cell.
    assert depths == [depth for depth in [0.6, 0.9, 1.2, 1.5] * 5 for _ in range(3)]
    feeds = [float(feed) / 60 for feed in re.findall(r"G[123] X\S+ Y\S+.* F(\d+)", cells)]
    assert list(dict.fromkeys(feeds)) == [60, 105, 150, 195, 240]


def test_lift_travels_at_each_row_s_height_between_its_ticks() -> None:
    made = _made("lift", "gantry-rs274")
    text = made.files[0].written.data.decode().split("T3 M6")[1]
    heights = re.findall(r"G0 Z([\d.]+)\nG0 X\S+ Y\S+\nG1 Z-", text)
    told = _values(made)
    low = [height for height in heights if height != "8"]
    assert ["8", *low] == told
    # It comes to each row at full height, by way of the place that it is met from.
    assert len(re.findall(r"G0 Z8\n(?:G0 X\S+ Y\S+\n){2}G1 Z-", text)) == len(told)


@pytest.mark.parametrize("machine", ["flatbed-hpgl", "gantry-hot-rs274"])
def test_hot_tools_and_pens_keep_their_strokes_apart(machine: str) -> None:
    made = _made("tools", machine)
    hot = [path for path in made.files[0].toolpaths if path.role is Role.HOT]
    waits = [path.pause.seconds for path in hot if path.pause]
    assert len(hot) == len(waits)
    assert all(wait >= 5 for wait in waits)
    assert all(check.holds for check in made.files[0].written.proof.checks)


def test_lines_of_is_a_machine_of_its_own() -> None:
    made = _made("scale", "flatbed-hpgl")
    lines = lines_of(made.files[0], made.profile, Faults(x_scale=1.01))
    straight = lines_of(made.files[0], made.profile)
    assert np.allclose(lines[5].points[:, 0], 1.01 * straight[5].points[:, 0])
