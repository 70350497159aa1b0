"""``cutpath profile``: what is listed, shown and checked, and how it ends."""

from pathlib import Path

import pytest

from cutpath.cli.main import run
from cutpath.settings.profile import shipped_profiles


def test_lists_every_shipped_profile(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["profile", "list"]) == 0
    words = capsys.readouterr().out.split()
    assert all(name in words for name in shipped_profiles())


def test_shows_the_trail_of_a_blade(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["profile", "show", "flatbed-hpgl"]) == 0
    assert "trails by 0.5 mm" in capsys.readouterr().out


def test_shows_units_faults_and_offsets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(
        'extends = "gantry-inch-rs274"\nname = "Mine"\n'
        '[compensation]\nx_scale = 1.0012\nskew = "-0.1 deg"\ny_backlash = "0.3 mm"\n'
        'advance_scale = 0.998\n[tools.pen]\noffset = ["5 mm", "-1 mm"]\n',
        encoding="utf-8",
    )
    assert run(["profile", "show", str(file)]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    for words in (
        "in steps of 0.00254 mm",
        "Its numbers count inches, with 4 decimals",
        "Told a metre along x, it goes 1001.20 mm",
        "Where y turns back, 0.3 mm are lost to play",
        "+y leans away from +x by 0.100°, 1.75 mm in a metre",
        "Told to advance a metre, the cloth goes 998.00 mm",
        "5, -1 mm",
    ):
        assert words in shown


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("gantry-oscillating", ("Axis A turns its blade", "nothing else of it than: notch",
                                "540° at most", "begins 4 mm off its piece")),
        ("conveyor-hpgl", ("MC{advance};", "frame by frame", "before the cuts of its piece")),
        ("webbing-bench", ("6 s apart", "On polypropylene: 28 mm/s", "It waits at 0, 0 mm",
                           "RTS" , "hydrogen chloride")),
        ("drawing-arm", ("M3 S60", "answers each line", "No comments", "stands in for knife")),
        ("flatbed-tangential", ("192.0.2.20:9100", "lifts at corners", "on the side near")),
        ("desk-cutter", ("lower speeds", "counts to 819 mm", "stop and go by two bytes")),
    ],
)  # fmt: skip
def test_shows_all_that_matters(
    name: str, told: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["profile", "show", name]) == 0
    words = " ".join(capsys.readouterr().out.split())
    for part in told:
        assert part in words


def test_a_contradiction_ends_with_1_and_its_mend(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "mine.toml"
    text = 'extends = "flatbed-hpgl"\nname = "Mine"\n[output]\nlargest_number = 32767\n'
    file.write_text(text, encoding="utf-8")
    assert run(["profile", "check", str(file)]) == 1
    assert 'origin = "middle"' in capsys.readouterr().out


def test_an_unknown_key_ends_with_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "mine.toml"
    file.write_text('extends = "flatbed-hpgl"\nname = "Mine"\nnosuch = 1\n', encoding="utf-8")
    assert run(["profile", "check", str(file)]) == 2
    assert "nosuch" in capsys.readouterr().err
