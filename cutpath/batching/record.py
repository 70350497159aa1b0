"""What a batch remembers: a record in each job's folder, and batch.json for the whole.

The record of a job is written last, with the digests of its files: where it fits to what a job is
made from, and the files to their digests, nothing is to be done again.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutpath import __version__
from cutpath.batching.program import program_mark
from cutpath.batching.task import Failure, Outcome, Task, Wishes
from cutpath.delivery import deliver
from cutpath.errors import CutpathError

RECORD = "batch-job.json"
_FILE_NAME = re.compile(r"[\w.-]+")


@dataclass(frozen=True, slots=True)
class Result:
    """How one job stands: ``files`` are digests by name; ``is_kept`` if nothing was to be done."""

    name: str
    folder: str
    files: Mapping[str, str]
    facts: Mapping[str, Any]
    failure: Failure | None
    is_kept: bool = False


def key_of(task: Task) -> str:
    """Give the digest of all that the outcome of ``task`` depends on."""
    parts = [task.source, task.drawing, task.lay]
    told = {
        "program": program_mark(),
        "files": [(each[0], _digest(each[1])) if each else None for each in parts],
        "profile": task.wishes.profile.digest(),
        "options": task.wishes.as_dict(),
    }
    return _digest(json.dumps(told, sort_keys=True).encode())


def kept_result(folder: Path, task: Task, key: str) -> Result | None:
    """Give the result of an earlier run, if it was of just this and all its files are whole."""
    record = _read(folder)
    if record.get("key") != key or record.get("job") != task.name:
        return None
    files: dict[str, str] = record["files"]
    try:
        if any(_digest((folder / name).read_bytes()) != mark for name, mark in files.items()):
            return None
    except OSError:
        return None
    return Result(task.name, folder.name, files, record["facts"], None, is_kept=True)


def keep(folder: Path, task: Task, key: str, outcome: Outcome, sources: Sequence[Path]) -> Result:
    """Write the files of ``outcome``, the record last; of a failure nothing that could be cut.

    Files of an earlier outcome that are not among the new ones go.
    """
    digests = {name: _digest(data) for name, data in sorted(outcome.files.items())}
    record = {
        "job": task.name,
        "key": key if outcome.failure is None else None,
        "facts": outcome.facts,
        "files": digests,
    }
    earlier = [*_read(folder).get("files", {})]
    result = Result(task.name, folder.name, digests, outcome.facts, outcome.failure)
    try:
        if outcome.files:
            files = {**outcome.files, RECORD: _json(record)}
            deliver(folder, files, earlier, sources)
        elif folder.is_dir():
            deliver(folder, {}, [*earlier, RECORD], sources)
            if not any(folder.iterdir()):
                folder.rmdir()
    except CutpathError as error:
        failure = Failure(error.message, str(error.source), error.remedy)
        return Result(task.name, folder.name, {}, {}, failure)
    return result


def batch_facts(results: Sequence[Result], wishes: Wishes, left: Sequence[str]) -> dict[str, Any]:
    """Give what ``batch.json`` holds; the same for the same jobs, whatever was done anew."""
    failed = sum(result.failure is not None for result in results)
    return {
        "passed": failed == 0,
        "jobs_prepared": len(results) - failed,
        "jobs_failed": failed,
        "time_s": round(sum(result.facts.get("time_s", 0.0) for result in results), 1),
        "machine": wishes.profile.name,
        "profile_sha256": wishes.profile.digest(),
        "options": wishes.as_dict(),
        "cutpath": __version__,
        "drawings_left": list(left),
        "jobs": [_job_facts(result) for result in results],
    }


def write_batch(out: Path, facts: Mapping[str, Any]) -> None:
    """Write ``batch.json`` into ``out``."""
    deliver(out, {"batch.json": _json(facts)})


def folders_of_others(out: Path, ours: Sequence[str]) -> tuple[str, ...]:
    """Give the folders in ``out`` with a record of a job that is none of ``ours`` any more."""
    return tuple(
        sorted(path.parent.name for path in out.glob(f"*/{RECORD}") if path.parent.name not in ours)
    )


def _job_facts(result: Result) -> dict[str, Any]:
    failure = result.failure
    return {
        "job": result.name,
        "folder": result.folder if result.files else None,
        "passed": failure is None,
        "error": None
        if failure is None
        else {"message": failure.message, "where": failure.where, "remedy": failure.remedy},
        **result.facts,
        "files": dict(result.files),
    }


def _read(folder: Path) -> dict[str, Any]:
    """Read a folder's record; empty where there is none, or where it is not one of ours."""
    try:
        record = json.loads((folder / RECORD).read_text(encoding="utf-8"))
        is_ours = isinstance(record["facts"], dict) and all(
            _FILE_NAME.fullmatch(name) and isinstance(mark, str)
            for name, mark in record["files"].items()
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return {}
    return dict(record) if is_ours else {}


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _json(value: Mapping[str, Any]) -> bytes:
    return (json.dumps(value, indent=2, ensure_ascii=False) + "\n").encode("utf-8")
