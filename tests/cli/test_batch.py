"""``cutpath batch`` as a user meets it: kept apart, gone on with, told."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cutpath.cli.main import run
from tests.batching.jobs import DRAWING, ON, contents, write_job


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    for number, name in enumerate(("awning", "hood", "cover")):
        write_job(tmp_path / "jobs" / name, name, 250 + 10 * number)
    return tmp_path / "jobs"


def batch(jobs: Path, *more: str) -> int:
    out = jobs.with_name("out")
    few = ["--workers", "1", "--no-sheet"]
    return run(["batch", str(jobs), "--on", ON, "--out", str(out), *few, *more])


def facts(jobs: Path) -> dict[str, object]:
    told: dict[str, object] = json.loads((jobs.with_name("out") / "batch.json").read_text())
    return told


def test_every_job_gets_what_cut_and_sheet_give(jobs: Path, tmp_path: Path) -> None:
    assert batch(jobs, "--sheet", "--workers", "2") == 0
    job = str(jobs / "hood" / "job.toml")
    assert run(["cut", job, "--on", ON, "--out", str(tmp_path / "one")]) == 0
    assert run(["sheet", job, "--on", ON, "--out", str(tmp_path / "one")]) == 0
    made = contents(tmp_path / "out" / "hood")
    assert made.pop("batch-job.json")
    assert made == contents(tmp_path / "one")
    assert {"hood.plt", "proof.json", "work-sheet.pdf"} <= made.keys()


def test_what_is_whole_and_the_same_is_not_done_again(
    jobs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert batch(jobs) == 0
    out = jobs.with_name("out")
    before = contents(out)
    times = {path: path.stat().st_mtime_ns for path in out.glob("*/*")}
    capsys.readouterr()
    assert batch(jobs) == 0
    assert "0 prepared, 3 as they were" in capsys.readouterr().out
    assert {path: path.stat().st_mtime_ns for path in out.glob("*/*")} == times
    assert contents(out) == before
    # One drawing changed, one file damaged, one lost: just these two jobs are done anew.
    write_job(jobs / "awning", "awning", 301)
    (out / "hood" / "hood.plt").write_bytes(b"IN;")
    assert batch(jobs) == 0
    assert "2 prepared, 1 as they were" in capsys.readouterr().out
    after = contents(out)
    changed = {name for name in before if before[name] != after[name]}
    assert "awning/awning.plt" in changed
    assert not {name for name in changed if not name.startswith(("awning/", "batch.json"))}


@pytest.mark.parametrize("more", [["--sheet"], ["--rounds", "1"]])
def test_another_wish_is_another_result(
    jobs: Path, more: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("awning", "cover"):
        (jobs / name / "job.toml").unlink()
    assert batch(jobs) == 0
    capsys.readouterr()
    assert batch(jobs, *more) == 0
    assert "1 prepared" in capsys.readouterr().out
    sheets = list(jobs.with_name("out").glob("hood/work-sheet.*"))
    assert bool(sheets) == (more == ["--sheet"])


def test_a_job_with_a_mistake_costs_no_other_and_leaves_nothing_to_cut(
    jobs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert batch(jobs) == 0
    out = jobs.with_name("out")
    (out / "hood" / "note.txt").write_text("ours to keep")
    (jobs / "hood" / "job.toml").write_text('drawing = "sheet.svg"\n[panels.sheet]\ncolth = "x"\n')
    (jobs / "cover" / "sheet.svg").unlink()
    capsys.readouterr()
    assert batch(jobs) == 1
    told = capsys.readouterr()
    assert "hood/job.toml: job.toml:3" in told.err
    assert "cloth" in told.err
    assert "there is no drawing 'sheet.svg' beside the job" in told.err
    assert "2 FAILED" in told.out
    assert [path.name for path in (out / "hood").iterdir()] == ["note.txt"]
    assert not (out / "cover").exists()
    assert (out / "awning" / "awning.plt").is_file()
    told_jobs = facts(jobs)["jobs"]
    assert isinstance(told_jobs, list)
    errors = {job["job"]: job["error"] for job in told_jobs}
    assert errors["awning/job.toml"] is None
    assert errors["hood/job.toml"]["where"].startswith("job.toml:3")
    assert facts(jobs)["jobs_failed"] == 2


def test_the_profile_and_no_jobs_are_told_once(
    jobs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["batch", str(jobs), "--on", "flatbed-hgpl"]) == 2
    assert "flatbed-hpgl" in capsys.readouterr().err
    (tmp_path / "empty").mkdir()
    (tmp_path / "empty" / "a.svg").write_text(DRAWING.format(width=200))
    empty = ["batch", str(tmp_path / "empty"), "--on", ON, "--out", str(tmp_path / "e")]
    assert run(empty) == 2
    assert "--allowance" in capsys.readouterr().err
    assert run([*empty, "--allowance", "10mm"]) == 0
    assert (tmp_path / "e" / "a" / "a.plt").is_file()


def test_folders_of_jobs_that_are_gone_are_told(
    jobs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert batch(jobs) == 0
    (jobs / "hood" / "job.toml").unlink()
    assert batch(jobs) == 0
    assert "hood is of a job that is no longer there" in capsys.readouterr().err


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is sent as a signal")
def test_an_interrupt_leaves_no_debris_and_the_next_run_goes_on(
    jobs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for number in range(6):
        write_job(jobs / f"more-{number}", f"more-{number}", 300 + number)
    scratch, out = tmp_path / "scratch", jobs.with_name("out")
    scratch.mkdir()
    command = [sys.executable, "-m", "cutpath", "batch", str(jobs), "--on", ON, "--out", str(out)]
    environment = {**os.environ, "TMPDIR": str(scratch)}
    with subprocess.Popen(
        [*command, "--no-sheet", "--workers", "2"], env=environment, text=True,
        start_new_session=True, stderr=subprocess.PIPE, stdout=subprocess.PIPE,
        cwd=Path(__file__).parents[2],
    ) as process:  # fmt: skip
        until = time.monotonic() + 60
        while not list(out.glob("*/batch-job.json")) and time.monotonic() < until:
            time.sleep(0.02)
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to parent and workers
        _, told = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Stopped" in told
    assert "Traceback" not in told
    assert not list(scratch.iterdir())
    assert not list(out.rglob(".cutpath-*"))
    finished = len(list(out.glob("*/batch-job.json")))
    assert 0 < finished < 9
    assert batch(jobs) == 0
    assert f"{9 - finished} prepared, {finished} as they were" in capsys.readouterr().out
