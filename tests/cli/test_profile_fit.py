"""``cutpath profile fit``: what it says, what it writes, and how it ends."""

import json
from pathlib import Path
from typing import Any

import pytest

from cutpath.cli.main import run
from cutpath.settings.profile import load_profile
from tests.bench.simulated_machine import Bench, Machine, measured_text
from tests.bench.tuned_machines import exact_readings, form

MACHINE = Machine(
    x_scale=1.0008,
    y_scale=0.9995,
    skew=0.001,
    play=(0.2, 0.0),
    offsets={"knife": (0.3, -0.4), "drill": (12, 0.25)},
    trails={"knife": 0.62, "pen": 0, "drill": 0},
    diameters={"drill": 3.0},
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    profile = load_profile("flatbed-hpgl")
    text = form(exact_readings(Bench(Machine.told_by(profile), MACHINE)), profile)
    (tmp_path / "measured.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _fit(*more: str, profile: str = "flatbed-hpgl") -> int:
    return run(["profile", "fit", profile, "measured.toml", *more])


def test_tells_in_plain_words_and_writes_a_profile(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _fit() == 0
    told = capsys.readouterr().out
    assert "x goes 0.080 % too far (± 0.017 %): told 1000 mm, it went 1000.80 mm." in told
    assert "y goes 0.050 % too short" in told
    assert "x has 0.200 mm" in told
    assert "y backlash stays" in told
    assert "its tip trails by 0.620 mm" in told
    tuned = load_profile(here / "flatbed-hpgl-tuned.toml")
    assert tuned.compensation.x_scale == pytest.approx(1.0008, abs=1e-5)
    assert tuned.tools["knife"].offset == pytest.approx((0.3, -0.4), abs=1e-3)
    assert tuned.tools["drill"].offset == pytest.approx((12, 0.25), abs=1e-2)
    assert tuned.tools["knife"].speed == load_profile("flatbed-hpgl").tools["knife"].speed


def test_the_new_profile_says_only_what_changed(here: Path) -> None:
    assert _fit() == 0
    text = (here / "flatbed-hpgl-tuned.toml").read_text(encoding="utf-8")
    assert 'extends = "flatbed-hpgl"' in text
    assert "y_backlash" not in text
    assert "speed" not in text
    assert 'x_backlash = "0.200 mm"  # ± ' in text


def test_the_same_bytes_every_time(here: Path) -> None:
    assert _fit("--out", "one.toml") == 0
    assert _fit("--out", "two.toml") == 0
    assert (here / "one.toml").read_bytes() == (here / "two.toml").read_bytes()


def test_facts_for_programs(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _fit("--json", "--out", "new/mine.toml") == 0
    facts: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert facts["values"]["x_scale"]["now"] == pytest.approx(1.0008, abs=1e-5)
    assert facts["values"]["x_scale"]["sigma"] < 2e-4
    assert facts["readings"]["scale.near"]["read_mm"] == pytest.approx(600.48)
    assert facts["misread"] == []
    assert (here / "new" / "mine.toml").is_file()


def test_nothing_is_written_over_unasked(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _fit() == 0
    assert _fit() == 2
    assert "--replace" in capsys.readouterr().err
    assert _fit("--replace") == 0


def test_the_old_profile_is_never_written_over(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mine = here / "mine.toml"
    mine.write_text('extends = "flatbed-hpgl"\nname = "Mine"\n', encoding="utf-8")
    before = mine.read_bytes()
    profile = load_profile(mine)
    text = form(exact_readings(Bench(Machine.told_by(profile), MACHINE)), profile)
    (here / "measured.toml").write_text(text, encoding="utf-8")
    assert _fit("--out", "mine.toml", "--replace", profile="mine.toml") == 2
    assert "made from" in capsys.readouterr().err
    assert mine.read_bytes() == before
    assert _fit("--out", "measured.toml", "--replace", profile="mine.toml") == 2
    assert _fit("--out", "sub/new.toml", profile="mine.toml") == 0
    new = (here / "sub" / "new.toml").read_text(encoding="utf-8")
    assert 'extends = "../mine.toml"' in new
    assert load_profile(here / "sub" / "new.toml").compensation.x_scale > 1.0005
    assert mine.read_bytes() == before


def test_another_state_of_the_profile_is_refused(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _fit(profile="flatbed-hpgl2") == 2
    told = capsys.readouterr().err
    assert "another state" in told
    assert "make and measure the patterns again" in told
    assert not list(here.glob("*-tuned.toml"))


def test_a_misreading_is_told_with_its_line(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = here / "measured.toml"
    lines = path.read_text(encoding="utf-8").split("\n")
    row = next(row for row, line in enumerate(lines) if line.startswith("far"))
    lines[row] = 'far = "610.5 mm"'
    path.write_text("\n".join(lines), encoding="utf-8")
    assert _fit() == 0
    told = capsys.readouterr().out
    assert f"scale.far (line {row + 1}) does not fit the rest: it says 610.50 mm" in told
    assert "It is just 10 mm more: a line of the rule miscounted?" in told
    assert (here / "flatbed-hpgl-tuned.toml").is_file()


def test_contradicting_readings_end_with_1(here: Path) -> None:
    path = here / "measured.toml"
    text = path.read_text(encoding="utf-8")
    keys = {"near": 603, "far": 597, "rising": 724, "left": 404, "middle_x": 594}
    lines = [
        f"{line.split(' ')[0]} = {keys[line.split(' ')[0]]}" if line.split(" ")[0] in keys else line
        for line in text.split("\n")
    ]
    path.write_text("\n".join(lines), encoding="utf-8")
    assert _fit() == 1
    assert not list(here.glob("*-tuned.toml"))


def test_a_form_with_nothing_filled_in(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    profile = load_profile("flatbed-hpgl")
    (here / "measured.toml").write_text(form({"scale": {}}, profile), encoding="utf-8")
    assert _fit() == 2
    assert "no reading is filled in" in capsys.readouterr().err


def test_a_second_tuning_has_a_name_of_its_own(here: Path) -> None:
    assert _fit() == 0
    profile = load_profile(here / "flatbed-hpgl-tuned.toml")
    text = form(exact_readings(Bench(Machine.told_by(profile), MACHINE)), profile)
    (here / "measured.toml").write_text(text, encoding="utf-8")
    assert _fit(profile="flatbed-hpgl-tuned.toml") == 0
    assert not (here / "flatbed-hpgl-tuned-2.toml").exists()  # it is right as it is
    worn = Machine(**{**MACHINE.__dict__, "play": (0.5, 0.0)})
    text = form(exact_readings(Bench(Machine.told_by(profile), worn)), profile)
    (here / "measured.toml").write_text(text, encoding="utf-8")
    assert _fit(profile="flatbed-hpgl-tuned.toml") == 0
    again = load_profile(here / "flatbed-hpgl-tuned-2.toml")
    assert again.name == "Flatbed knife table, HP-GL, tuned"
    assert again.compensation.x_backlash == pytest.approx(0.5, abs=2e-3)


def test_a_trail_that_the_profile_rules_out(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    digest = load_profile("gantry-rs274").digest()
    keys = {"name": "blade", "tool": "knife", "uncertainty": "0.05 mm"}
    rows = {"gap_x1": 0.4, "corner_90": 0.1, "corner_150": 0.4}
    text = measured_text("gantry-rs274", digest, [(keys, rows)])
    (here / "measured.toml").write_text(text, encoding="utf-8")
    assert _fit("--hold", "x_backlash", profile="gantry-rs274") == 1
    told = capsys.readouterr().err
    assert "measured.toml, tools.knife: by these readings" in told
    assert "Leave out lift_angle or blade_offset in the profile; or keep the value" in told
    assert not list(here.glob("*-tuned.toml"))
