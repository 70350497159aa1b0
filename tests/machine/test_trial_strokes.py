"""Test strokes: another speed, force, depth or lift than the profile says, for one stroke."""

import re

import pytest

from cutpath.geometry.chain import line
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.model import Feature, Role, Toolpath, Trial
from cutpath.settings.profile import load_profile


def _three(trial: Trial) -> list[Toolpath]:
    """Three strokes side by side; the middle one is the trial."""
    return [
        Toolpath(
            Role.KNIFE, Feature.TEST, "test", line((20 * k, 10.0), (20 * k, 60.0)), trial=middle
        )
        for k, middle in ((1, Trial()), (2, trial), (3, Trial()))
    ]


def _bytes(machine: str, trial: Trial) -> str:
    profile = load_profile(machine)
    return emit(moves_for(_three(trial), profile), profile).decode("latin-1")


@pytest.mark.parametrize("machine", ["flatbed-hpgl", "flatbed-hpgl2"])
def test_a_plotters_force_and_speed_go_back_after_the_trial(machine: str) -> None:
    said = re.findall(r"FS(\d+);|VS([\d.]+);|(PD);", _bytes(machine, Trial(speed=120, force=33)))
    # Each stroke presses and lowers, then goes: VS stands behind its PD.
    assert said == [
        ("", "30", ""), ("20", "", ""), ("", "", "PD"),
        ("33", "", ""), ("", "", "PD"), ("", "12", ""),
        ("20", "", ""), ("", "", "PD"), ("", "30", ""),
    ]  # fmt: skip


def test_depth_feed_and_lift_go_back_after_the_trial() -> None:
    text = _bytes("gantry-rs274", Trial(speed=50, depth=0.7, lift_height=2))
    assert re.findall(r"Z(-?[\d.]+)", text) == ["8", "-1.5", "8", "-0.7", "2", "-1.5", "8"]
    feeds = re.findall(r"G1 X\S+ Y\S+ F(\d+)", text)
    assert feeds == ["9000", "3000", "9000"]


def test_a_trial_names_its_tool() -> None:
    profile = load_profile("gantry-rs274")
    path = Toolpath(Role.KNIFE, Feature.TEST, "test", line((10, 10), (20, 10)), trial=Trial("pen"))
    text = emit(moves_for([path], profile), profile).decode()
    assert "T1 M6" in text
    assert "T3" not in text
