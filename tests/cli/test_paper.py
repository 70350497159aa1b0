"""``cutpath paper`` as a user meets it."""

import io
import json
from pathlib import Path

import pypdf
import pytest

from cutpath.cli.main import run

SAMPLES = Path(__file__).parents[2] / "samples"
SHELTER = SAMPLES / "bow-shelter" / "job.toml"
ROLL = SAMPLES / "tool-roll" / "tool-roll.svg"


def text_of(folder: Path) -> list[str]:
    data = (folder / "templates.pdf").read_bytes()
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages]


def test_the_shelter_on_large_sheets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "paper"
    assert run(["paper", str(SHELTER), "--page", "A0", "--out", str(out)]) == 0
    assert "5 patterns on" in capsys.readouterr().out
    pages = text_of(out)
    told = " ".join(pages)
    # Seam letters stand on both panels; marks and widths are written.
    for letter in "ABCDE":
        assert told.split().count(letter) >= 2
    assert "zip 25.4 mm" in told
    assert "plain 12.7 mm" in told
    assert told.split().count("CL") >= 2


def test_net_lines_alone_need_fewer_sheets(tmp_path: Path) -> None:
    counts = []
    for lines in ("cut", "net"):
        out = tmp_path / lines
        arguments = ["paper", str(ROLL), "--allowance", "30mm", "--lines", lines, "--out", str(out)]
        assert run(arguments) == 0
        counts.append(len(text_of(out)))
    assert counts[1] < counts[0]


def test_a_sheet_for_each_pattern(tmp_path: Path) -> None:
    shared, apart = tmp_path / "shared", tmp_path / "apart"
    arguments = ["paper", str(ROLL), "--allowance", "5mm", "--page", "A1"]
    assert run([*arguments, "--out", str(shared)]) == 0
    assert run([*arguments, "--one-piece-a-sheet", "--out", str(apart)]) == 0
    assert len(text_of(apart)) >= 1 + 10
    assert len(text_of(shared)) < len(text_of(apart))


def test_svg_pages(tmp_path: Path) -> None:
    out = tmp_path / "svg"
    assert (
        run(["paper", str(ROLL), "--allowance", "5mm", "--page", "A1", "--svg", "--out", str(out)])
        == 0
    )
    files = sorted(path.name for path in out.iterdir())
    assert files[0].startswith("page-")
    assert all(name.endswith(".svg") for name in files)


def test_a_pen_plotter_draws_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "plot"
    arguments = ["paper", str(ROLL), "--allowance", "5mm", "--on", "paper-plotter"]
    assert run([*arguments, "--out", str(out)]) == 0
    proof = json.loads((out / "proof.json").read_text(encoding="utf-8"))
    assert proof["passed"] is True
    assert all((out / file["file"]).is_file() for file in proof["files"])
    assert "patterns on" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--page", "A9"], "there is no paper 'A9'"),
        (["--measured", "20mm"], "cannot come out as"),
        (["--measured", "98mm,99mm,97mm"], "one length or two"),
        (["--margin", "100mm"], "no room"),
    ],
)
def test_bad_wishes_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], options: list[str], message: str
) -> None:
    out = tmp_path / "none"
    assert run(["paper", str(ROLL), "--allowance", "5mm", "--out", str(out), *options]) == 2
    assert message in capsys.readouterr().err
    assert not out.exists()
