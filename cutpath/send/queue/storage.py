"""The queue's database: opened, brought to this program's version, used in whole transactions.

SQLite in write-ahead mode with full synchronisation: when a transaction returns, it outlives a loss
of power (https://sqlite.org/pragma.html#pragma_synchronous). Several programs may use it at once,
on one computer; a network share would not keep its locks.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from cutpath.errors import InputError, Source

FILE = "queue.db"
_VERSION = 1
_PATIENCE = 15.0
"""Seconds to wait for another program's transaction."""
_SCHEMA = """
CREATE TABLE lanes(
    number INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    machine TEXT NOT NULL,
    asks INTEGER NOT NULL DEFAULT 1,
    wish TEXT NOT NULL DEFAULT 'go on',
    doing TEXT NOT NULL DEFAULT 'no sender',
    words TEXT NOT NULL DEFAULT ''
);
CREATE TABLE runs(
    digest TEXT PRIMARY KEY,
    told BLOB NOT NULL,
    data BLOB NOT NULL
);
CREATE TABLE jobs(
    number INTEGER PRIMARY KEY AUTOINCREMENT,
    lane INTEGER NOT NULL REFERENCES lanes(number),
    run TEXT NOT NULL REFERENCES runs(digest),
    state TEXT NOT NULL CHECK(state IN ('waiting', 'held', 'sending', 'interrupted', 'done')),
    kind TEXT NOT NULL CHECK(kind IN ('whole', 'rest', 'recut', 'check')),
    origin INTEGER,
    file TEXT NOT NULL,
    job TEXT NOT NULL,
    cloth TEXT NOT NULL,
    note TEXT NOT NULL,
    pieces INTEGER NOT NULL,
    strokes INTEGER NOT NULL,
    size INTEGER NOT NULL,
    seconds REAL NOT NULL,
    copies INTEGER NOT NULL CHECK(copies >= 1),
    made INTEGER NOT NULL DEFAULT 0 CHECK(made BETWEEN 0 AND copies),
    priority INTEGER NOT NULL DEFAULT 0,
    place INTEGER NOT NULL,
    added TEXT NOT NULL,
    CHECK((state = 'done') = (made = copies))
);
CREATE INDEX by_lane ON jobs(lane, state, priority DESC, place);
CREATE INDEX by_run ON jobs(run);
CREATE UNIQUE INDEX one_at_work ON jobs(lane) WHERE state IN ('sending', 'interrupted');
CREATE TABLE sendings(
    number INTEGER PRIMARY KEY AUTOINCREMENT,
    job INTEGER NOT NULL REFERENCES jobs(number) ON DELETE CASCADE,
    copy INTEGER NOT NULL,
    began TEXT NOT NULL,
    boot TEXT NOT NULL,
    buffer INTEGER NOT NULL,
    answers INTEGER NOT NULL,
    may INTEGER NOT NULL DEFAULT 0,
    known INTEGER NOT NULL DEFAULT 0,
    paused REAL NOT NULL DEFAULT 0,
    ended TEXT,
    first INTEGER,
    last INTEGER,
    tool_up INTEGER NOT NULL DEFAULT 0,
    words TEXT NOT NULL DEFAULT ''
);
CREATE INDEX by_job ON sendings(job);
CREATE TABLE journal(
    number INTEGER PRIMARY KEY AUTOINCREMENT,
    at TEXT NOT NULL,
    lane TEXT NOT NULL,
    job INTEGER NOT NULL,
    event TEXT NOT NULL,
    facts TEXT NOT NULL
);
CREATE INDEX journal_by_job ON journal(job);
CREATE TRIGGER journal_is_kept BEFORE DELETE ON journal
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER journal_is_true BEFORE UPDATE ON journal
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
"""


class Storage:
    """One open database; all of its methods may be called from any thread."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE
        self._lock = threading.RLock()
        self._writes = 0
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError(
                f"the folder of the queue cannot be made: {error.strerror or error}",
                Source(file=str(folder)),
                "Name another with --queue or CUTPATH_QUEUE.",
            ) from error
        with self._told():
            self._base = sqlite3.connect(
                self.path, timeout=_PATIENCE, isolation_level=None, check_same_thread=False
            )
            try:
                self._prepare()
            except BaseException:
                self._base.close()
                raise

    def _prepare(self) -> None:
        base = self._base
        version = self._version()
        if version > _VERSION:
            raise InputError(
                "a later cutpath made this queue",
                Source(file=str(self.path)),
                "Use that cutpath, or another folder with --queue.",
            )
        base.execute("PRAGMA journal_mode = WAL").fetchone()
        base.execute("PRAGMA synchronous = FULL")
        base.execute("PRAGMA foreign_keys = ON")
        if version < _VERSION:
            base.execute("BEGIN IMMEDIATE")
            if self._version() < _VERSION:  # nobody was quicker
                for statement in _statements(_SCHEMA):
                    base.execute(statement)
                base.execute(f"PRAGMA user_version = {_VERSION}")
            base.execute("COMMIT")

    def _version(self) -> int:
        return int(self._base.execute("PRAGMA user_version").fetchone()[0])

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Turn what the database says into one error in words."""
        try:
            yield
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode == sqlite3.SQLITE_ERROR:
                raise  # a mistake in this program's own words
            words, remedy = (
                str(error),
                "Check the folder, its permissions and the room on the disk.",
            )
            if "locked" in words:
                words, remedy = "another program holds it for too long", "Try again."
            raise InputError(
                f"the queue cannot be used: {words}", Source(file=str(self.path)), remedy
            ) from error
        except (sqlite3.IntegrityError, sqlite3.ProgrammingError):
            raise
        except sqlite3.DatabaseError as error:
            raise InputError(
                f"this is no queue, or it is damaged: {error}",
                Source(file=str(self.path)),
                "Move it away and add the jobs again; the machine files are untouched.",
            ) from error

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Give the database for one transaction: durable when this ends, undone by an error."""
        with self._lock, self._told():
            self._base.execute("BEGIN IMMEDIATE")
            try:
                yield self._base
            except BaseException:
                self._base.execute("ROLLBACK")
                raise
            self._base.execute("COMMIT")
            self._writes += 1

    def rows(
        self, query: str, values: Sequence[object] | Mapping[str, object] = ()
    ) -> list[tuple[Any, ...]]:
        """Give all rows of one query."""
        with self._lock, self._told():
            return self._base.execute(query, values).fetchall()

    def changes(self) -> int:
        """Give a number that grows whenever anybody changes anything."""
        with self._lock, self._told():
            theirs = int(self._base.execute("PRAGMA data_version").fetchone()[0])
            return theirs + self._writes

    def close(self) -> None:
        """Let go of the file."""
        with self._lock:
            self._base.close()


def _statements(script: str) -> Iterator[str]:
    statement = ""
    for line in script.splitlines():
        statement += line + "\n"
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
