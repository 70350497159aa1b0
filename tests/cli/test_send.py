"""``cutpath send`` as a user meets it."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from cutpath.cli.main import run
from tests.send.served import serving

ROOT = Path(__file__).parents[2]
SQUARE = """<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm"
viewBox="0 0 400 300"><rect data-layer="outline" x="10" y="10" width="200" height="150"/>
<rect x="220" y="10" width="150" height="150"/></svg>"""


@pytest.fixture(scope="module")
def cut_files(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Cut two squares once, for HP-GL and for RS274."""
    folder = tmp_path_factory.mktemp("cut")
    (folder / "squares.svg").write_text(SQUARE, encoding="utf-8")
    for profile in ("flatbed-hpgl", "gantry-rs274"):
        args = ["cut", str(folder / "squares.svg"), "--allowance", "10mm", "--on", profile]
        assert run([*args, "--out", str(folder / profile)]) == 0
    return folder


def table(beside: Path, base: str = "flatbed-hpgl", **link: Any) -> str:
    """Write a profile that only adds a link; give its place."""
    rows = "\n".join(f"{key} = {json.dumps(value)}" for key, value in link.items())
    path = beside / f"{base}-linked.toml"
    path.write_text(f'extends = "{base}"\n[link]\n{rows}\n', encoding="utf-8")
    return str(path)


def to_folder(folder: Path, base: str = "flatbed-hpgl") -> str:
    (folder / "watched").mkdir(exist_ok=True)
    return table(folder, base, way="folder", folder=str(folder / "watched"))


def test_a_file_goes_whole_into_the_watched_folder(
    cut_files: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = cut_files / "flatbed-hpgl" / "squares.plt"
    assert run(["send", str(file), "--on", to_folder(tmp_path), "--yes"]) == 0
    assert (tmp_path / "watched" / "squares.plt").read_bytes() == file.read_bytes()
    told = capsys.readouterr()
    assert "lies whole in" in told.out
    assert "caution: Blades cut hands" in told.err


def test_a_drawing_is_cut_first(tmp_path: Path) -> None:
    (tmp_path / "squares.svg").write_text(SQUARE, encoding="utf-8")
    job = 'name = "squares"\ndrawing = "squares.svg"\n'
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    args = ["--on", to_folder(tmp_path), "--yes", "--out", str(tmp_path / "out")]
    assert run(["send", str(tmp_path / "job.toml"), *args]) == 0
    assert (tmp_path / "out" / "proof.json").is_file()
    assert (tmp_path / "watched" / "squares.plt").is_file()


@pytest.mark.parametrize(("size", "code"), [("410 mm x 190 mm", 0), ("0.2 m x 190 mm", 1)])
def test_the_cloth_on_the_table_must_be_large_enough(
    cut_files: Path, tmp_path: Path, size: str, code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    file = cut_files / "flatbed-hpgl" / "squares.plt"
    args = ["send", str(file), "--on", to_folder(tmp_path), "--yes", "--cloth", size]
    assert run(args) == code
    assert ("of cloth, laid with its corner" in capsys.readouterr().err) == (code == 1)


def spoil(file: Path, proof: Path, wrong: str) -> None:
    said = json.loads(proof.read_text())
    match wrong:
        case "bytes":
            file.write_bytes(file.read_bytes().replace(b"PD", b"PU", 1))
        case "failed":
            said["files"][0]["passed"] = False
        case "hash":
            said["files"][0]["sha256"] = "0" * 64
        case "other":
            said["files"][0]["file"] = "circles.plt"
    proof.write_text(json.dumps(said))
    if wrong == "proof":
        proof.unlink()


@pytest.mark.parametrize(
    ("wrong", "code", "words"),
    [
        ("bytes", 2, "is not the machine file that this run file was written for"),
        ("proof", 2, "there is no proof beside the file"),
        ("failed", 1, "did not pass its proof"),
        ("hash", 2, "is not the file that was proved"),
        ("other", 2, "there is no proof of squares.plt here"),
        ("profile", 2, "was made for another profile than 'Gantry, RS274' (differing: name"),
        ("bed", 2, "(differing: bed.width)"),
        ("cloth", 2, "is not the size of a cloth"),
        ("nobody", 2, "nobody can be asked here"),
        ("link", 2, "does not say how the machine is reached"),
    ],
)
def test_what_must_not_be_sent_is_refused_before_anything_moves(
    cut_files: Path,
    tmp_path: Path,
    wrong: str,
    code: int,
    words: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    folder = tmp_path / "files"
    shutil.copytree(cut_files / "flatbed-hpgl", folder)
    file, proof = folder / "squares.plt", folder / "proof.json"
    profile, more = to_folder(tmp_path), ["--yes"]
    spoil(file, proof, wrong)
    match wrong:
        case "profile":
            profile = to_folder(tmp_path, "gantry-rs274")
        case "bed":
            with Path(profile).open("a", encoding="utf-8") as text:
                text.write('[bed]\nwidth = "3100 mm"\n')
        case "cloth":
            more += ["--cloth", "large"]
        case "nobody":
            more = []
        case "link":
            profile = "gantry-rs274"
    assert run(["send", str(file), "--on", profile, *more]) == code
    assert words in capsys.readouterr().err
    assert not list((tmp_path / "watched").iterdir())


def started(file: Path, profile: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "cutpath", "send", str(file), "--on", profile, "--yes"]
    return subprocess.Popen(
        command, cwd=ROOT, text=True, stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


def wait_for(log: Path, size: int) -> None:
    end = time.monotonic() + 10
    while not (log.exists() and log.stat().st_size >= size):
        assert time.monotonic() < end
        time.sleep(0.01)


SPACE = {"flow": "buffer space", "buffer": 512, "block": 80, "pace": 0.05}


@pytest.mark.skipif(os.name != "posix", reason="signals are POSIX's")
@pytest.mark.parametrize("times", [1, 2])
def test_ctrl_c_ends_with_the_tool_up_and_tells_what_was_cut(
    cut_files: Path, tmp_path: Path, times: int
) -> None:
    file, log = cut_files / "flatbed-hpgl" / "squares.plt", tmp_path / "obeyed"
    whole = file.read_bytes()
    with serving("tcp", log, SPACE, {}) as place:
        profile = table(
            tmp_path, way="tcp", address=place, flow="buffer space", buffer=512, block=80
        )
        with started(file, profile) as sender:
            wait_for(log, 100)
            for _ in range(times):
                sender.send_signal(signal.SIGINT)
                time.sleep(0.02)
            _, told = sender.communicate(timeout=20)
    assert sender.returncode == 130
    obeyed = log.read_bytes().replace(b"\n", b"")
    assert obeyed.endswith(b"PU;PU0,0;SP0;")
    assert whole.replace(b"\n", b"").startswith(obeyed.removesuffix(b"PU;PU0,0;SP0;"))
    assert len(obeyed) < len(whole)
    assert "the tool is up" in told
    assert "not begun" in told
    assert "Pausing where the tool is next up" in told
    # A quick machine may stand at its lift before the second one comes.
    assert "Paused" in told or (times == 2 and "Ending with the tool up" in told)


def test_a_machine_that_refuses_a_line_is_told_with_its_piece(
    cut_files: Path, tmp_path: Path
) -> None:
    file, log = cut_files / "gantry-rs274" / "squares.ngc", tmp_path / "obeyed"
    spec = {"flow": "line reply", "buffer": 128, "pace": 0.001}
    with serving("tcp", log, spec, {"error_at": 25, "error": 22}) as place:
        profile = table(
            tmp_path, "gantry-rs274", way="tcp", address=place, flow="line reply", buffer=128
        )
        with started(file, profile) as sender:
            _, told = sender.communicate(timeout=20)
    assert sender.returncode == 3
    line = file.read_text().splitlines()[25]
    assert f"the machine refused the line '{line}': no feed was set" in told
    assert "at the " in told
    assert "Traceback" not in told
