"""``cutpath cut`` where it lays: options, words, a search that is cut short."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cutpath.cli.main import run
from cutpath.lay.searching import is_there

ROOT = Path(__file__).parents[2]
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="2000mm" height="1500mm" '
    'viewBox="0 0 2000 1500"><g id="outline">'
    '<path d="M0 0H900L700 500H200Z"/><path d="M0 600H700V1000L0 900Z"/>'
    '<path d="M1000 0H1400V900Z"/></g></svg>'
)
JOB = """name = "Sail bag"
drawing = "bag.svg"
finish = "raw"
cloth = "duck"
[cloths.duck]
name = "cotton duck"
width = "1000 mm"
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "bag.svg").write_text(SVG, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def told(capture: pytest.CaptureFixture[str], *args: object) -> tuple[int, str, str]:
    code = run(["cut", *(str(arg) for arg in args)])
    out, err = capture.readouterr()
    assert "Traceback" not in err
    return code, out, err


def test_the_lay_is_told(job: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out = tmp_path / "out"
    code, words, _ = told(capsys, job, "--on", "gantry-rs274", "--out", out)
    assert code == 0
    assert "cotton duck: " in words
    assert "to buy" in words
    assert "its end 10.0 mm, its near edge 10.0 mm in from the bed's edges" in words
    assert {"lay.json", "sail-bag-lay.svg"} <= {path.name for path in out.iterdir()}
    assert not job.with_name("lay.json").exists()  # nothing was searched for


def test_json_has_the_lays(job: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out = tmp_path / "out"
    _, words, _ = told(capsys, job, "--on", "gantry-rs274", "--out", out, "--json")
    (lay,) = json.loads(words)["lays"]
    assert lay["cloth"] == "duck"
    assert lay["to_buy_mm"] > 900
    assert sum(len(frame["pieces"]) for frame in lay["frames"]) == 3


@pytest.mark.parametrize("time_", ["soon", "-3s", "2days", "1e3s", "100h"])
def test_a_bad_time_is_told(
    job: Path, time_: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, _, err = told(
        capsys, job, "--on", "gantry-rs274", "--out", tmp_path / "out", f"--time={time_}"
    )
    assert code == 2
    assert "--time" in err
    assert not (tmp_path / "out").exists()


def test_a_lay_that_is_not_there_is_told(
    job: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, _, err = told(
        capsys,
        job,
        "--on",
        "gantry-rs274",
        "--out",
        tmp_path / "out",
        "--lay",
        tmp_path / "no.json",
    )
    assert code == 2
    assert "no.json" in err


def test_the_lay_of_one_run_may_be_given_to_the_next(
    job: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    told(capsys, job, "--on", "gantry-rs274", "--out", first)
    code, _, _ = told(
        capsys, job, "--on", "gantry-rs274", "--out", second, "--lay", first / "lay.json"
    )
    assert code == 0
    assert (first / "sail-bag.ngc").read_bytes() == (second / "sail-bag.ngc").read_bytes()


def test_a_lay_may_be_edited_where_it_lies(
    job: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    out = tmp_path / "out"
    told(capsys, job, "--on", "gantry-rs274", "--out", out)
    mine = json.loads((out / "lay.json").read_text(encoding="utf-8"))
    for place in mine["cloths"]["duck"]["places"]:
        place["x"] += 7.5
    text = json.dumps(mine)
    (out / "lay.json").write_text(text, encoding="utf-8")
    code, _, err = told(
        capsys, job, "--on", "gantry-rs274", "--out", out, "--lay", out / "lay.json"
    )
    assert code == 0, err
    assert (out / "lay.json").read_text(encoding="utf-8") == text


@pytest.mark.skipif(
    not is_there() or not Path("/proc/self/task").is_dir(), reason="needs the library and /proc"
)
def test_ctrl_c_keeps_the_best_lay_found(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    process = subprocess.Popen(
        [sys.executable, "-m", "cutpath", "cut", job, "--on", "gantry-rs274", "--out", out,
         "--time", "10min"],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )  # fmt: skip
    try:
        children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
        until = time.monotonic() + 60
        while not children.read_text(encoding="ascii").strip() and time.monotonic() < until:
            time.sleep(0.1)
        time.sleep(1.5)
        searches = children.read_text(encoding="ascii").split()
        assert searches
        process.send_signal(signal.SIGINT)
        words, err = process.communicate(timeout=60)
    finally:
        process.kill()
    assert "Traceback" not in err
    assert process.returncode == 0, err
    assert "found in a long search" in words
    assert json.loads(job.with_name("lay.json").read_text(encoding="utf-8"))["cloths"]["duck"]
    for search in searches:
        with pytest.raises(ProcessLookupError):
            os.kill(int(search), 0)
    assert not list(tmp_path.rglob(".cutpath-*"))
