"""What the numbers leave open is refused, with the readings that would settle it."""

from pathlib import Path

import numpy as np
import pytest

from cutpath.errors import CutpathError, FitError, InputError
from cutpath.settings.profile import Profile, load_profile
from tests.bench.simulated_machine import Bench, Machine
from tests.bench.tuned_machines import Readings, exact_readings, random_machine, tuned


@pytest.fixture
def profile() -> Profile:
    return load_profile("flatbed-hpgl")


@pytest.fixture
def readings(profile: Profile) -> Readings:
    machine = random_machine(np.random.default_rng(3))
    return exact_readings(Bench(Machine.told_by(profile), machine))


def _only(readings: Readings, **keys: list[str]) -> Readings:
    return {name: {key: readings[name][key] for key in wanted} for name, wanted in keys.items()}


def _refused(readings: Readings, profile: Profile, folder: Path) -> InputError:
    with pytest.raises(InputError) as error:
        tuned(readings, profile, folder)
    return error.value


def test_lengths_along_x_leave_y_open(readings: Readings, profile: Profile, tmp_path: Path) -> None:
    error = _refused(_only(readings, scale=["near", "far"]), profile, tmp_path)
    assert "y_scale" in error.message
    assert "skew" in error.message
    assert error.remedy == (
        "Measure scale.left, scale.middle_y or scale.right; and scale.rising or scale.falling, "
        "or keep what the profile says: --hold y_scale --hold skew."
    )


def test_no_diagonal_leaves_the_skew_open(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    error = _refused(_only(readings, scale=["near", "left", "right"]), profile, tmp_path)
    assert error.message == "these readings do not settle skew"
    assert error.remedy.startswith("Measure scale.rising or scale.falling, or keep")


def test_bridges_alone_leave_play_and_trail_open(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    error = _refused(_only(readings, blade=["gap_x1", "gap_x2"]), profile, tmp_path)
    assert "knife.blade_offset" in error.message
    assert "x_backlash" in error.message
    assert "blade.gap_y" not in error.remedy  # it would leave the play of y open
    assert "Measure blade.corner_150, or make" in error.remedy
    assert "the pattern 'backlash'" in error.remedy
    held = tuned(_only(readings, blade=["gap_x1", "gap_x2"]), profile, tmp_path, ("x_backlash",))
    assert [each.unknown.name for each in held.fitted] == ["knife.blade_offset"]


def test_bridges_and_play_together_settle_both(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    few = _only(readings, blade=["gap_x1"], backlash=["x1", "y1"])
    names = [each.unknown.name for each in tuned(few, profile, tmp_path).fitted]
    assert names == ["x_backlash", "y_backlash", "knife.blade_offset"]


def test_a_small_disc_says_too_little_of_a_trail(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    error = _refused(_only(readings, blade=["circle_10"]), profile, tmp_path)
    assert "blade.corner" in error.remedy


def test_one_reading_in_inches_alone_is_no_scale(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    few = _only(readings, scale=["near", "left", "rising"])
    few["scale"]["near"] = round(few["scale"]["near"] / 25.4, 3)
    with pytest.raises(FitError, match=r"x_scale is below 0\.9") as error:
        tuned(few, profile, tmp_path)
    assert "scale.near: it was read in inches" in error.value.remedy


def test_play_of_the_wrong_sign_is_no_play(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    few = _only(readings, backlash=["x1", "x2", "y1", "y2"])
    few["backlash"] |= {"x1": -0.3, "x2": -0.32}
    with pytest.raises(FitError, match="x_backlash is below 0 mm") as error:
        tuned(few, profile, tmp_path)
    assert "sign" in error.value.remedy


def test_a_hair_below_no_play_is_none(readings: Readings, profile: Profile, tmp_path: Path) -> None:
    few = _only(readings, backlash=["x1", "x2", "y1", "y2"])
    few["backlash"] |= {"x1": -0.06, "x2": -0.05}
    outcome = tuned(few, profile, tmp_path)
    assert outcome.fitted[0].written == 0.0


def test_a_misreading_that_leaves_something_open_says_so(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    few = _only(readings, scale=["near", "middle_x", "far", "left", "rising", "falling"])
    few["scale"]["far"] += 5
    assert tuned(few, profile, tmp_path).misread[0].name == "scale.far"
    with pytest.raises(CutpathError):
        tuned(_only(few, scale=["near", "far", "left", "rising"]), profile, tmp_path)


def test_a_tool_that_is_not_there(readings: Readings, tmp_path: Path) -> None:
    plotter = load_profile("paper-plotter")
    error = _refused({"tools": readings["tools"]}, plotter, tmp_path)
    assert "no tool 'knife'" in error.message


def test_all_that_is_held_leaves_nothing_to_fit(
    readings: Readings, profile: Profile, tmp_path: Path
) -> None:
    few = _only(readings, backlash=["x1", "y1"])
    outcome = tuned(few, profile, tmp_path, ("x_backlash", "y_backlash"))
    assert not outcome.fitted
    assert outcome.held == ("x_backlash", "y_backlash")


def test_an_unknown_value_to_hold(readings: Readings, profile: Profile, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no value 'x_scal'") as error:
        tuned(readings, profile, tmp_path, ("x_scal",))
    assert "Did you mean 'x_scale'?" in error.value.remedy
