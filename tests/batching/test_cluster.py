"""The same jobs on the real scheduler, its workers processes of their own."""

import pickle
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cutpath.batching import cluster as ours, program
from cutpath.batching.program import differences, program_mark
from cutpath.batching.task import Outcome, Task, prepare_packed
from cutpath.cli.main import run
from tests.batching.deadly import Deadly
from tests.batching.jobs import ON, contents, task, write_job

dask = pytest.importorskip("dask", reason="the extra 'cluster' is not installed")
distributed = pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
pytestmark = pytest.mark.filterwarnings("default")  # the library's own


class Later:
    """Tells another program's mark here; where it is sent to it is the true one."""

    def __call__(self) -> str:
        return "cutpath 9.9 (x), numpy 1"

    def __reduce__(self) -> tuple[Any, ...]:
        return getattr, (program, "program_mark")


@pytest.fixture(scope="module")
def local() -> Iterator[Any]:
    once = {"distributed.scheduler.allowed-failures": 0}  # so that a death is told soon
    with (
        dask.config.set(once),
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=2, processes=True, dashboard_address=None
        ) as cluster,
    ):
        yield cluster


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    for number, name in enumerate(("a", "b", "c")):
        write_job(tmp_path / "jobs" / name, name, 250 + 10 * number)
    (tmp_path / "jobs" / "b" / "job.toml").write_text('drawing = "sheet.svg"\nnmae = "b"')
    return tmp_path / "jobs"


def test_a_cluster_gives_the_same_bytes_as_processes_here(
    local: Any, jobs: Path, tmp_path: Path
) -> None:
    there, here = str(tmp_path / "there"), str(tmp_path / "here")
    on = ["batch", str(jobs), "--on", ON, "--out"]
    assert run([*on, there, "--cluster", local.scheduler_address]) == 1
    assert run([*on, here, "--workers", "2"]) == 1
    assert contents(Path(there)) == contents(Path(here))
    assert (Path(there) / "c" / "c.plt").is_file()
    assert run([*on, there, "--cluster", local.scheduler_address]) == 1  # nothing left but b
    assert contents(Path(there)) == contents(Path(here))


def test_another_program_on_the_workers_is_told_before_any_job_goes(
    local: Any, jobs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.setattr(ours, "program_mark", Later())
    args = ["batch", str(jobs), "--on", ON, "--out", str(tmp_path / "out")]
    assert run([*args, "--cluster", local.scheduler_address]) == 2
    told = capsys.readouterr().err
    assert "runs another program" in told
    assert "cutpath 9.9 (x) here" in told
    assert not (tmp_path / "out").exists()


def test_a_worker_that_came_later_refuses_the_task_of_another_program() -> None:
    answer = prepare_packed("cutpath 9.9 (x), numpy 1", b"never unpacked")
    outcome: Outcome = pickle.loads(answer)
    assert outcome.failure is not None
    assert "another program" in outcome.failure.message
    packed = prepare_packed(program_mark(), pickle.dumps(task("a")))
    assert pickle.loads(packed).failure is None


def test_a_job_that_kills_its_workers_costs_only_itself(local: Any) -> None:
    deadly = Task("deadly", ("job.toml", Deadly()), task("x").wishes)  # type: ignore[arg-type]
    tasks = [task("a"), deadly, task("b"), task("c"), task("d")]
    outcomes = dict(ours.on_cluster(tasks, local.scheduler_address))
    assert outcomes.pop("deadly").failure is not None
    assert sorted(outcomes) == ["a", "b", "c", "d"]
    assert all(outcome.failure is None for outcome in outcomes.values())


def test_differences_of_two_programs_in_words() -> None:
    assert differences("cutpath 1 (a), numpy 2", "cutpath 1 (a), numpy 3") == (
        "numpy 3 there, numpy 2 here"
    )
    assert differences("cutpath 1 (a), numpy 2", "cutpath 1 (a), numpy 2") == ""


def test_nobody_there_is_told(
    jobs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(ours, "_ANSWER_S", 0.3)
    args = ["batch", str(jobs), "--on", ON, "--out", str(tmp_path / "out")]
    for address in ("tcp://127.0.0.1:9", "nonsense://x"):
        assert run([*args, "--cluster", address]) == 2
        told = capsys.readouterr().err
        assert address in told
        assert "dask scheduler" in told
