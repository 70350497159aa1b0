"""New jobs into the database: their bytes are kept once, however many jobs send them."""

from __future__ import annotations

import hashlib
import sqlite3
import zlib
from dataclasses import dataclass

from cutpath.run_model import Run
from cutpath.send.queue.order import last_place
from cutpath.send.queue.values import Kind, State
from cutpath.settings.run_file import run_text

_LEVEL = 3
"""Of zlib: a machine file shrinks to a quarter, in little time."""


@dataclass(frozen=True, slots=True)
class NewJob:
    """What is said of a job beside its run."""

    copies: int
    priority: int
    state: State
    kind: Kind = Kind.WHOLE
    origin: int | None = None


def insert_job(base: sqlite3.Connection, lane: int, run: Run, new: NewJob, at: str) -> int:
    """Add a job at the end of the lane, within the caller's transaction; give its number."""
    values = {
        "lane": lane,
        "run": _kept(base, run),
        "state": new.state.value,
        "kind": new.kind.value,
        "origin": new.origin,
        "file": run.name,
        "job": run.job,
        "cloth": run.cloth,
        "note": run.note,
        "pieces": len(run.pieces),
        "strokes": len(run.strokes),
        "size": len(run.data),
        "seconds": run.seconds,
        "copies": new.copies,
        "priority": new.priority,
        "place": last_place(base, lane),
        "added": at,
    }
    names = ", ".join(values)
    places = ", ".join(f":{name}" for name in values)
    number = base.execute(f"INSERT INTO jobs({names}) VALUES ({places})", values).lastrowid
    assert number is not None
    return number


def _kept(base: sqlite3.Connection, run: Run) -> str:
    """Put the run's two files into the database, where they are not yet; give their digest."""
    text = run_text(run)
    digest = hashlib.sha256(text).hexdigest()
    if not base.execute("SELECT 1 FROM runs WHERE digest = ?", (digest,)).fetchone():
        packed = (digest, zlib.compress(text, _LEVEL), zlib.compress(run.data, _LEVEL))
        base.execute("INSERT INTO runs(digest, told, data) VALUES (?, ?, ?)", packed)
    return digest
