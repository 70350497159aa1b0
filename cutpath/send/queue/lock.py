"""One sender a machine: a lock of the operating system's, which it takes back from the dead."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from cutpath.errors import InputError, Source

_PATIENCE = 1.0
"""Seconds: somebody may only be looking whether the lock is free."""


@contextmanager
def sole_sender(path: Path, lane: str) -> Iterator[None]:
    """Hold the lane's lock. Raises InputError where another process holds it."""
    lock = FileLock(path)
    try:
        lock.acquire(timeout=_PATIENCE, poll_interval=0.02)
    except Timeout as error:
        raise InputError(
            f"a sender works on '{lane}' already",
            Source(key=lane),
            "There is one sender a machine. End that one first.",
        ) from error
    try:
        yield
    finally:
        lock.release()


@contextmanager
def if_free(path: Path) -> Iterator[bool]:
    """Hold the lock where it is free; tell whether it was."""
    lock = FileLock(path)
    try:
        lock.acquire(blocking=False)
    except Timeout:
        yield False
        return
    try:
        yield True
    finally:
        lock.release()
