"""``cutpath profile pattern``: what it writes and says, and how it ends."""

import json
from pathlib import Path

import pytest

from cutpath.bench.catalogue import CATALOGUE
from cutpath.cli.main import run


def test_lists_what_each_pattern_finds(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["profile", "pattern", "--list"]) == 0
    listed = capsys.readouterr().out
    assert all(f"{name:10} {entry.finds}" in listed for name, entry in CATALOGUE.items())
    assert "cannot" not in listed
    assert run(["profile", "pattern", "--list", "--on", "paper-plotter"]) == 0
    assert capsys.readouterr().out.count("(this machine cannot)") == 5


def test_writes_everything_for_the_technician(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "bench"
    words = ["scale", "--on", "flatbed-hpgl", "--size", "900mmx24in", "--out", str(out)]
    assert run(["profile", "pattern", *words]) == 0
    said = capsys.readouterr().out
    assert "Proof passed" in said
    assert f"cutpath profile fit flatbed-hpgl {out / 'measured.toml'}" in said
    assert "Caution: Keep hands" in said
    assert {path.name for path in out.iterdir()} == {
        "scale.plt", "scale.run.json", "scale.svg", "scale.pdf", "proof.json",
        "measured.toml",
    }  # fmt: skip
    assert 'size = ["900 mm", "609.6 mm"]' in (out / "measured.toml").read_text(encoding="utf-8")
    proof = json.loads((out / "proof.json").read_text(encoding="utf-8"))
    assert proof["passed"]
    assert proof["files"][0]["file"] == "scale.plt"


def test_prints_facts_for_programs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["advance", "--on", "paper-plotter-small", "--out", str(tmp_path), "--json"]
    assert run(["profile", "pattern", *words]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [file["file"] for file in told["files"]] == ["advance-1.plt", "advance-2.plt"]


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["scale"], 2, "--on PROFILE"),
        (["scale", "--on", "nosuch"], 2, "there is no profile 'nosuch'"),
        (["scail", "--on", "flatbed-hpgl"], 2, "Did you mean 'scale'"),
        (["scale", "--on", "flatbed-hpgl", "--size", "600mm"], 2, "600mmx400mm"),
        (["lift", "--on", "flatbed-hpgl"], 3, "It can make: scale, backlash, blade"),
    ],
)
def test_what_cannot_be_ends_with_its_code_and_writes_nothing(
    words: list[str],
    code: int,
    told: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = tmp_path / "bench"
    assert run(["profile", "pattern", *words, "--out", str(out)]) == code
    assert told in capsys.readouterr().err
    assert not out.exists()


def test_a_measured_form_stands_when_a_pattern_is_made_otherwise(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["profile", "pattern", "repeat", "--on", "flatbed-hpgl", "--out", str(tmp_path)]
    assert run(words) == 0
    form = tmp_path / "measured.toml"
    filled = form.read_text(encoding="utf-8").replace('spread_x = ""', 'spread_x = "0.1 mm"')
    form.write_text(filled, encoding="utf-8")
    assert run(words) == 0
    assert form.read_text(encoding="utf-8") == filled
    plotted = (tmp_path / "repeat.plt").read_bytes()
    assert run([*words, "--size", "300mmx200mm"]) == 2
    assert "made otherwise" in capsys.readouterr().err
    assert form.read_text(encoding="utf-8") == filled
    assert (tmp_path / "repeat.plt").read_bytes() == plotted


def test_patterns_in_one_folder_share_a_proof_by_which_each_may_be_sent(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, watched = tmp_path / "table.toml", tmp_path / "watched"
    watched.mkdir()
    link = f'[link]\nway = "folder"\nfolder = "{watched.as_posix()}"\nflow = "plain"\n'
    table.write_text(f'extends = "flatbed-hpgl"\nname = "Mine"\n{link}', encoding="utf-8")
    out = tmp_path / "bench"
    for name in ("repeat", "blade", "repeat"):
        words = ["profile", "pattern", name, "--on", str(table), "--out", str(out)]
        assert run(words) == 0
    proof = json.loads((out / "proof.json").read_text(encoding="utf-8"))
    assert [file["file"] for file in proof["files"]] == ["blade.plt", "repeat.plt"]
    # The blade's strokes are written for a blade without trail, and are sent all the same.
    for name in ("blade", "repeat"):
        assert run(["send", str(out / f"{name}.plt"), "--on", str(table), "--yes"]) == 0
        assert (watched / f"{name}.plt").read_bytes() == (out / f"{name}.plt").read_bytes()
    capsys.readouterr()


def test_the_folder_of_a_job_is_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    proof = tmp_path / "proof.json"
    proof.write_text('{"job": "hood", "sha256": {"profile": ""}, "files": [{"file": "a.plt"}]}')
    words = ["profile", "pattern", "repeat", "--on", "flatbed-hpgl", "--out", str(tmp_path)]
    assert run(words) == 2
    assert "something else than test patterns" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["proof.json"]


def test_a_form_that_is_no_text_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "measured.toml").write_bytes(b"\xff\xfe\x00\x81")
    words = ["profile", "pattern", "repeat", "--on", "flatbed-hpgl", "--out", str(tmp_path)]
    assert run(words) == 2
    assert "measured.toml" in capsys.readouterr().err
