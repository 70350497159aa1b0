"""The senders that the desk started: one process a lane (``cutpath.desk.sending``).

A sender is a process of its own: the page, its server or a browser may fail, and the machine is
fed on. When the desk ends, so do they: at once where nothing is sent, else after the job.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import IO

from cutpath.errors import InputError, Source
from cutpath.send.queue.values import Doing, Lane

_MOST_WORDS = 600
_PATIENCE = 2.0
"""Seconds for idle senders to end."""


class Senders:
    """Starts and ends the senders of one queue's lanes; all methods may be called from threads."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._lock = threading.Lock()
        self._running: dict[str, tuple[subprocess.Popen[bytes], IO[bytes]]] = {}
        self._faults: dict[str, str] = {}

    def start(self, lane: Lane) -> None:
        """Start the lane's sender. Raises InputError where one is at work already."""
        with self._lock:
            self._reap()
            if lane.doing is not Doing.NO_SENDER or lane.name in self._running:
                raise InputError(
                    f"a sender works on '{lane.name}' already", Source(key=lane.name), ""
                )
            self._faults.pop(lane.name, None)
            command = [sys.executable, "-m", "cutpath.desk.sending"]
            told = tempfile.TemporaryFile()  # noqa: SIM115 (closed when the sender has ended)
            # Ctrl-C on the desk's terminal is for the desk, not for a machine at work.
            process = subprocess.Popen(
                [*command, str(self._folder), lane.name],
                stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=told,
                start_new_session=True,
            )  # fmt: skip
            self._running[lane.name] = (process, told)

    def end(self, lane: Lane) -> None:
        """End a sender of ours: now, or when its job has ended."""
        with self._lock:
            self._reap()
            if lane.name not in self._running:
                raise InputError(
                    f"the sender of '{lane.name}' was not started here",
                    Source(key=lane.name),
                    "End it where it was started.",
                )
            self._running[lane.name][0].terminate()

    def faults(self) -> dict[str, str]:
        """Give, by lane, the words of senders that ended by themselves, and not well."""
        with self._lock:
            self._reap()
            return dict(self._faults)

    def close(self) -> list[str]:
        """End all senders of ours; give the lanes of those that end after their job."""
        with self._lock:
            self._reap()
            for process, _ in self._running.values():
                process.terminate()
            until = time.monotonic() + _PATIENCE
            while self._running and time.monotonic() < until:
                time.sleep(0.05)
                self._reap()
            return sorted(self._running)

    def _reap(self) -> None:
        for name, (process, told) in list(self._running.items()):
            code = process.poll()
            if code is None:
                continue
            del self._running[name]
            told.seek(0)
            words = told.read(65_536).decode("utf-8", errors="replace").strip()
            told.close()
            if code:
                self._faults[name] = (
                    words[-_MOST_WORDS:] or f"the sender ended by itself (exit code {code})"
                )
