"""``cutpath start`` as a user meets it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import ezdxf
import pytest

from cutpath.cli.main import run
from cutpath.settings.job import read_job

SAMPLES = Path(__file__).parents[2] / "samples"
FIVE = {
    frozenset({"front/top", "top/fore"}),
    frozenset({"front/port", "port-side/fore"}),
    frozenset({"front/starboard", "starboard-side/fore"}),
    frozenset({"top/port", "port-side/top"}),
    frozenset({"top/starboard", "starboard-side/top"}),
}


def copied(tmp_path: Path, name: str) -> Path:
    return Path(shutil.copy(SAMPLES / name, tmp_path))


@pytest.fixture
def shelter(tmp_path: Path) -> Path:
    return copied(tmp_path, "bow-shelter/shelter.dxf")


def test_the_bow_shelter_gets_a_job_that_names_its_seams(
    shelter: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["start", str(shelter)]) == 0
    job = read_job(shelter.parent / "job.toml")
    assert {frozenset(seam.join) for seam in job.said.seam} == FIVE
    assert job.said.panels["port-side"].from_ == "PORT SIDE"
    told = capsys.readouterr().out
    assert "front/port – port-side/fore" in told
    assert "nearly certain (99%)" in told
    assert "front/bottom, 2060.2 mm: free and bent: bound, or a hem?" in told
    assert f"cutpath check {shelter.parent / 'job.toml'}" in told


def test_its_job_is_checked_without_an_edit_and_only_the_bend_of_the_deck_is_odd(
    shelter: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(["start", str(shelter)])
    text = (shelter.parent / "job.toml").read_text(encoding="utf-8")
    assert text.count('kink = "3 deg"') == 2
    capsys.readouterr()
    assert run(["check", str(shelter.parent / "job.toml"), "--json"]) == 1
    facts = json.loads(capsys.readouterr().out)
    assert {finding["cause"] for finding in facts["findings"]} == {"kink across the seam"}
    assert len(facts["findings"]) == 2


@pytest.mark.parametrize(
    "name", ["bow-shelter/shelter.dxf", "market-stall/side-wall.svg", "tool-roll/tool-roll.svg"]
)
def test_its_job_is_cut_without_an_edit(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = copied(tmp_path, name)
    assert run(["start", str(drawing)]) == 0
    job = str(tmp_path / "job.toml")
    assert run(["cut", job, "--on", "flatbed-hpgl", "--out", str(tmp_path / "out")]) == 0
    assert "Proof passed" in capsys.readouterr().out


def test_the_same_drawing_gives_the_same_bytes(shelter: Path) -> None:
    run(["start", str(shelter)])
    first = (shelter.parent / "job.toml").read_bytes()
    assert run(["start", str(shelter), "--replace"]) == 0
    assert (shelter.parent / "job.toml").read_bytes() == first


def test_a_job_that_is_there_is_kept(shelter: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = shelter.parent / "job.toml"
    job.write_text("name = 'mine'", encoding="utf-8")
    assert run(["start", str(shelter)]) == 2
    assert job.read_text(encoding="utf-8") == "name = 'mine'"
    told = capsys.readouterr().err
    assert "this file is there already" in told
    assert "--replace" in told
    assert run(["start", str(shelter), "--replace"]) == 0
    assert "shelter.dxf" in job.read_text(encoding="utf-8")


def test_a_job_elsewhere_finds_its_drawing(shelter: Path) -> None:
    out = shelter.parent / "jobs" / "first" / "hood.toml"
    assert run(["start", str(shelter), "--out", str(out)]) == 0
    job = read_job(out)
    assert job.said.drawing == "../../shelter.dxf"
    assert [path.name for path in out.parent.iterdir()] == ["hood.toml"]


def test_a_folder_for_out_gets_job_toml(shelter: Path) -> None:
    folder = shelter.parent / "jobs"
    folder.mkdir()
    assert run(["start", str(shelter), "--out", str(folder)]) == 0
    assert read_job(folder / "job.toml").said.drawing == "../shelter.dxf"


def test_json_tells_the_same(shelter: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["start", str(shelter), "--json"]) == 0
    facts = json.loads(capsys.readouterr().out)
    assert {frozenset(seam["join"]) for seam in facts["seams"]} == FIVE
    assert all(seam["written"] and seam["certainty"] > 0.95 for seam in facts["seams"])
    assert {edge["edge"]: edge["finish"] for edge in facts["free_edges"]}["top/aft"] == "zip"
    assert facts["job"].endswith("job.toml")


def test_no_seam_is_said_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing = copied(tmp_path, "tool-roll/tool-roll.svg")
    assert run(["start", str(drawing)]) == 0
    told = capsys.readouterr().out
    assert "No seam was found" in told
    assert "cutpath cut" in told
    assert read_job(tmp_path / "job.toml").said.seam == ()


def drawn(path: Path, *, unit: int, names: tuple[str, str], edges: tuple[str, str]) -> Path:
    """Draw two panels with names, and a text beside the edge that both share the length of."""
    document = ezdxf.new()  # type: ignore[attr-defined, unused-ignore]
    document.header["$INSUNITS"] = unit
    space = document.modelspace()
    for at, name, edge, height in ((0, names[0], edges[0], 300), (1000, names[1], edges[1], 444)):
        box = [(at, 0), (at + 731, 0), (at + 731, height), (at, height)]
        space.add_lwpolyline(box, close=True)
        space.add_text(name, height=40).set_placement((at + 200, height / 2))
        space.add_text(edge, height=10, dxfattribs={"layer": "edge names"}).set_placement(
            (at + 360, 5)
        )
    document.saveas(path)
    return path


def test_units_said_are_written_into_the_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = drawn(tmp_path / "a.dxf", unit=0, names=("ONE", "TWO"), edges=("low", "low"))
    assert run(["start", str(drawing)]) == 2
    assert "--units" in capsys.readouterr().err
    assert not (tmp_path / "job.toml").exists()
    assert run(["start", str(drawing), "--units", "mm", "--join", "0.5mm"]) == 0
    job = read_job(tmp_path / "job.toml")
    assert job.said.units == "mm"
    assert job.said.join == 0.5
    assert run(["check", str(tmp_path / "job.toml")]) in {0, 2}


def test_names_that_toml_and_seams_cannot_take_plain_still_load_and_check(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = drawn(
        tmp_path / 'sail "é".dxf', unit=4, names=('A "b".c', "a b c"), edges=("x/1", "x/1")
    )
    assert run(["start", str(drawing)]) == 0
    job = read_job(tmp_path / "job.toml")
    assert sorted(entry.from_ or "" for entry in job.said.panels.values()) == ['A "b".c', "a b c"]
    assert sorted(job.said.panels) == ["a-b-c", "a-b-c-2"]
    assert job.said.seam[0].join == ("a-b-c/x-1", "a-b-c-2/x-1")
    capsys.readouterr()
    assert run(["check", str(tmp_path / "job.toml")]) == 0


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (["start", "nowhere.dxf"], "nowhere.dxf"),
        (["start", "job.toml"], "not a drawing"),
        (["start", "shelter.dxf", "--out", "hood.json"], "ends in .toml"),
        (["start", "shelter.dxf", "--units", "parsec"], "unknown unit"),
    ],
)
def test_bad_input_is_told_and_nothing_is_written(
    shelter: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    args: list[str],
    message: str,
) -> None:
    monkeypatch.chdir(shelter.parent)
    assert run(args) == 2
    assert message in capsys.readouterr().err
    assert [path.name for path in shelter.parent.iterdir()] == ["shelter.dxf"]
