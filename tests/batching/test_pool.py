"""The processes that prepare jobs: a death costs its own job, and nothing is left behind."""

import multiprocessing
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutpath.batching import pool
from cutpath.batching.pool import in_processes
from cutpath.batching.task import Task, prepare
from tests.batching.deadly import Deadly
from tests.batching.jobs import task


@pytest.fixture(autouse=True)
def scratch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    place = tmp_path / "scratch"
    place.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(place))
    yield place
    assert not list(place.iterdir()), "nothing is left behind"
    assert not multiprocessing.active_children()


def test_a_job_that_kills_its_process_costs_only_itself() -> None:
    deadly = Task("deadly", ("job.toml", Deadly()), task("x").wishes)  # type: ignore[arg-type]
    outcomes = dict(in_processes([task("a"), deadly, task("b"), task("c")], 2))
    assert outcomes["deadly"].failure is not None
    assert "exit code 9" in outcomes["deadly"].failure.message
    assert "--workers" in outcomes["deadly"].failure.remedy
    for name in "abc":
        assert outcomes[name].failure is None
        assert outcomes[name].files == prepare(task(name)).files


def test_a_process_killed_from_outside_costs_nothing() -> None:
    killed = []

    def tasks() -> Iterator[Task]:
        yield task("a")
        yield task("b")
        killed.extend(multiprocessing.active_children()[:1])
        killed[0].kill()
        yield task("c")

    outcomes = dict(in_processes(tasks(), 2))
    assert killed[0].exitcode == -9
    assert sorted(outcomes) == ["a", "b", "c"]
    assert all(outcome.failure is None for outcome in outcomes.values())


def test_processes_are_replaced_before_they_grow_old(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pool, "_JOBS_A_PROCESS", 1)
    seen = set()
    for _ in in_processes([task(name) for name in "ab"], 1):
        seen |= {child.pid for child in multiprocessing.active_children()}
    assert len(seen) == 2


def test_closing_early_ends_the_processes_at_once() -> None:
    outcomes = in_processes([task(name) for name in "abcdef"], 2)
    next(outcomes)
    assert multiprocessing.active_children()
    outcomes.close()
    assert not multiprocessing.active_children()
