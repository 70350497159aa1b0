"""Rows of the database to values, in the order that people read them."""

from __future__ import annotations

import zlib
from pathlib import Path
from typing import Any

from cutpath.errors import InputError, Source
from cutpath.run_model import Run, Wish
from cutpath.send.queue.lock import if_free
from cutpath.send.queue.storage import Storage
from cutpath.send.queue.values import Doing, Doubt, Job, Kind, Lane, State
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.run_file import run_from

JOB_COLUMNS = (
    "jobs.number, lanes.name, state, kind, origin, file, job, cloth, note, pieces, strokes, size, "
    "seconds, copies, made, priority, added"
)
_IN_ORDER = """
ORDER BY lane, CASE state WHEN 'sending' THEN 0 WHEN 'interrupted' THEN 0 WHEN 'done' THEN 2 ELSE 1
END, CASE state WHEN 'done' THEN 0 ELSE -priority END, CASE state WHEN 'done' THEN jobs.number
ELSE place END
"""
_STATES = {state.value: state for state in State}
_KINDS = {kind.value: kind for kind in Kind}


def lock_path(folder: Path, lane: int) -> Path:
    """Give the file that a lane's sender locks."""
    return folder / f"lane-{lane}.lock"


def mark_path(folder: Path, lane: int) -> Path:
    """Give the file that tells where a lane's sender stands."""
    return folder / f"lane-{lane}.mark"


def lanes_in(storage: Storage, folder: Path) -> tuple[Lane, ...]:
    """Give all lanes, by name; one whose sender is gone has no sender, whatever it last said."""
    out = []
    for row in storage.rows(
        "SELECT number, name, machine, asks, wish, doing, words FROM lanes ORDER BY name"
    ):
        number, name, machine, asks, wish, said, words = row
        doing = Doing(said)
        if doing is not Doing.NO_SENDER:
            with if_free(lock_path(folder, number)) as is_free:
                doing = Doing.NO_SENDER if is_free else doing
        lane = Lane(number, str(name), str(machine), bool(asks), Wish(wish), doing, str(words))
        out.append(lane)
    return tuple(out)


def lane_named(lanes: tuple[Lane, ...], name: str) -> Lane:
    """Give the lane of that name. Raises InputError, with the nearest one, where there is none."""
    for lane in lanes:
        if lane.name == name:
            return lane
    remedy = nearest_word(name, [lane.name for lane in lanes]) if lanes else ""
    raise InputError(
        f"there is no machine '{name}' in the queue",
        remedy=remedy or "It comes with the first job that is added for it.",
    )


def job_of(row: tuple[Any, ...]) -> Job:
    """Give the job of a row of ``JOB_COLUMNS``."""
    number, lane, state, kind, *rest = row
    return Job(number, lane, _STATES[state], _KINDS[kind], *rest)


def jobs_in(storage: Storage, lane: int | None) -> tuple[Job, ...]:
    """Give the jobs of one lane or all: at work, then to come in their order, then done."""
    where, values = ("WHERE lane = ?", (lane,)) if lane is not None else ("", ())
    query = f"SELECT {JOB_COLUMNS} FROM jobs JOIN lanes ON lanes.number = lane {where} {_IN_ORDER}"
    return tuple(job_of(row) for row in storage.rows(query, values))


def job_numbered(storage: Storage, number: int) -> Job:
    """Give one job. Raises InputError where there is none."""
    query = f"SELECT {JOB_COLUMNS} FROM jobs JOIN lanes ON lanes.number = lane"
    found = storage.rows(f"{query} WHERE jobs.number = ?", (number,))
    if not found:
        raise InputError(
            f"there is no job {number} in the queue",
            Source(file=str(storage.path.parent)),
            "cutpath queue list shows the jobs and their numbers.",
        )
    return job_of(found[0])


def run_of(storage: Storage, number: int) -> Run:
    """Give what a job sends. Raises InputError where there is no such job."""
    job_numbered(storage, number)
    query = "SELECT told, data FROM runs JOIN jobs ON digest = run WHERE number = ?"
    told, data = storage.rows(query, (number,))[0]
    text = zlib.decompress(told).decode("utf-8")
    return run_from(text, zlib.decompress(data), f"job {number}")


def doubt_of(storage: Storage, number: int) -> Doubt | None:
    """Give what is known of a job that is interrupted; None for another."""
    query = """
    SELECT first, last, words, tool_up FROM sendings JOIN jobs ON jobs.number = sendings.job
    WHERE sendings.job = ? AND state = 'interrupted' ORDER BY sendings.number DESC LIMIT 1
    """
    found = storage.rows(query, (number,))
    if not found:
        return None
    first, last, words, tool_up = found[0]
    return Doubt(first, last, str(words), bool(tool_up))
