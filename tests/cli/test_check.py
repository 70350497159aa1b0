"""``cutpath check`` as a user meets it."""

import json
from pathlib import Path

import pytest

from cutpath.cli.main import run

ROOT = Path(__file__).parents[2]
SHELTER = ROOT / "samples" / "bow-shelter"


def job_with(tmp_path: Path, old: str, new: str) -> Path:
    """Copy the bow shelter's job beside its drawing's copy, with one text changed."""
    text = (SHELTER / "job.toml").read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "shelter.dxf").write_bytes((SHELTER / "shelter.dxf").read_bytes())
    job = tmp_path / "job.toml"
    job.write_text(text.replace(old, new, 1), encoding="utf-8")
    return job


def test_the_bow_shelter_fits_together(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", str(SHELTER / "job.toml")]) == 0
    told = capsys.readouterr().out
    assert "A: front/top 1626.7 mm, top/fore 1626.7 mm" in told
    assert "5 seams: all fit." in told


def test_json_tells_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", str(SHELTER / "job.toml"), "--json"]) == 0
    facts = json.loads(capsys.readouterr().out)
    assert facts["fits"] is True
    assert [seam["seam"] for seam in facts["seams"]] == list("ABCDE")
    marks = facts["seams"][0]["marks"]
    assert [mark["name"] for mark in marks] == ["P3", "P2", "P1", "CL", "S1", "S2", "S3"]
    assert all(abs(mark["difference_mm"]) < 0.5 for mark in marks)


def test_a_tolerance_that_is_not_kept_gives_exit_1_and_says_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = job_with(tmp_path, '"port/fore"]\nkink = "3 deg"', '"port/fore"]\nkink = "1 deg"')
    assert run(["check", str(job)]) == 1
    told = capsys.readouterr().out
    assert "seam B" in told
    assert "NOT all fit" in told


def test_ease_that_is_not_there_is_flagged(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = job_with(tmp_path, '"top/fore"]', '"top/fore"]\nease = "12 mm"')
    assert run(["check", str(job)]) == 1
    assert "A: front/top" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("new", "message"),
    [
        ('["front/topp", "top/fore"]', "panel 'front' has no edge 'topp'"),
        ('["frnt/top", "top/fore"]', "there is no panel 'frnt'"),
        ('["front", "top/fore"]', "'front' names no edge"),
        ('["front/top", "front/top"]', "to itself"),
    ],
)
def test_a_seam_that_is_not_there_is_told_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], new: str, message: str
) -> None:
    job = job_with(tmp_path, '["front/top", "top/fore"]', new)
    assert run(["check", str(job)]) == 2
    told = capsys.readouterr().err
    assert message in told
    assert "job.toml:80" in told


def test_a_job_without_seams_says_how_to_name_them(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", str(ROOT / "samples" / "market-stall" / "job.toml")]) == 0
    told = capsys.readouterr().out
    assert "nothing was walked" in told
    assert "[[seam]]" in told


def test_fairing_pairs_and_truing_are_told_and_pictured(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = job_with(tmp_path, 'aft = "zip"', 'aft = { finish = "zip", fair = "1 mm" }')
    text = job.read_text(encoding="utf-8")
    text = text.replace(
        "[panels.starboard]", '[panels.starboard]\npair_with = "port"\npair = "mean"'
    )
    text = text.replace("[[seam]]", "[[seam]]\ntrue = true")
    job.write_text(text, encoding="utf-8")
    folder = tmp_path / "pictures"
    assert run(["check", str(job), "--pictures", str(folder)]) == 0
    told = capsys.readouterr().out
    assert "top/aft laid fair within 1 mm" in told
    assert "both are cut to the mean of both" in told
    assert told.count(" trued: ") == 5
    assert (folder / "fair-top-aft.svg").is_file()
    facts = json.loads((folder / "seams.json").read_text(encoding="utf-8"))
    assert facts["fair"][0]["largest_move_mm"] <= 1.0
    assert facts["pairs"][0]["use"] == "mean"
    assert [trued["trued"] for trued in facts["trued"]] == [True] * 5
    assert all(seam["difference_mm"] == 0 for seam in facts["seams"])


def test_pictures_are_drawn_and_those_of_earlier_runs_go(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "pinned up"
    assert run(["check", str(SHELTER / "job.toml"), "--pictures", str(folder)]) == 0
    assert "seams.svg" in capsys.readouterr().out
    names = [f"seam-{letter}.svg" for letter in "ABCDE"]
    assert sorted(path.name for path in folder.iterdir()) == [*names, "seams.json", "seams.svg"]
    first = {path.name: path.read_bytes() for path in folder.iterdir()}
    (folder / "mine.svg").write_text("kept", encoding="utf-8")

    text = (SHELTER / "job.toml").read_text(encoding="utf-8")
    shorter = job_with(tmp_path, text[text.rindex("[[seam]]") :], "")
    assert run(["check", str(shorter), "--pictures", str(folder)]) == 0
    left = sorted(path.name for path in folder.iterdir())
    assert left == ["mine.svg", *names[:-1], "seams.json", "seams.svg"]
    assert (folder / "seam-A.svg").read_bytes() == first["seam-A.svg"]


def test_a_check_that_fails_is_drawn_too(tmp_path: Path) -> None:
    job = job_with(tmp_path, '"top/fore"]', '"top/fore"]\nease = "12 mm"')
    assert run(["check", str(job), "--pictures", str(tmp_path / "out")]) == 1
    assert ">OUT<" in (tmp_path / "out" / "seam-A.svg").read_text(encoding="utf-8")
    facts = json.loads((tmp_path / "out" / "seams.json").read_text(encoding="utf-8"))
    assert facts["fits"] is False
    assert "seam-A.svg" in facts["pictures"]


def test_seam_letters_make_file_names_that_any_disk_takes(tmp_path: Path) -> None:
    letters = ['letter = "a"', 'letter = "A"', 'letter = "../x"']
    job = job_with(tmp_path, "[[seam]]\njoin", "[[seam]]\n" + letters[0] + "\njoin")
    for letter in letters[1:]:
        text = job.read_text(encoding="utf-8")
        job.write_text(text.replace("[[seam]]\njoin", f"[[seam]]\n{letter}\njoin", 1), "utf-8")
    assert run(["check", str(job), "--pictures", str(tmp_path / "out")]) == 0
    names = sorted(path.name.lower() for path in (tmp_path / "out").iterdir())
    assert len(set(names)) == 7
    assert "seam-x.svg" in names
    assert not list(tmp_path.glob("*.svg"))


def test_a_file_where_the_pictures_should_go_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out").write_text("not a folder", encoding="utf-8")
    job = str(SHELTER / "job.toml")
    assert run(["check", job, "--pictures", str(tmp_path / "out")]) == 2
    assert "--pictures" in capsys.readouterr().err
