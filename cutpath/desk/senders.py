"""The senders that the desk started: one process a lane, the same as ``cutpath queue run``.

A sender is a process of its own: the page, its server or a browser may fail, and the machine is
fed on. When the desk ends, senders that are at work are left to finish; idle ones end with it.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterable
from pathlib import Path
from typing import IO

from cutpath.errors import InputError, Source
from cutpath.send.queue.values import Doing, Lane

_MOST_WORDS = 600
_GOOD_ENDS = {0, 130}
"""Of a sender that was told to end."""


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
            command = [sys.executable, "-m", "cutpath", "queue", "run", lane.name]
            told = tempfile.TemporaryFile()  # noqa: SIM115 (closed when the sender has ended)
            # Ctrl-C on the desk's terminal is for the desk, not for a machine at work.
            process = subprocess.Popen(
                [*command, "--queue", str(self._folder)],
                stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=told,
                start_new_session=True,
            )  # fmt: skip
            self._running[lane.name] = (process, told)

    def end(self, lane: Lane) -> None:
        """End a sender of ours that sends nothing. Raises InputError while it sends."""
        if lane.doing in {Doing.SENDING, Doing.PAUSED}:
            raise InputError(
                f"the sender of '{lane.name}' is at work",
                Source(key=lane.name),
                "Stop the job first; or let it finish.",
            )
        with self._lock:
            self._reap()
            if lane.name not in self._running:
                raise InputError(
                    f"the sender of '{lane.name}' was not started here",
                    Source(key=lane.name),
                    "End it where it was started.",
                )
            _end(self._running.pop(lane.name))

    def faults(self) -> dict[str, str]:
        """Give, by lane, the words of senders that ended by themselves, and not well."""
        with self._lock:
            self._reap()
            return dict(self._faults)

    def close(self, lanes: Iterable[Lane]) -> list[str]:
        """End all idle senders of ours; give the lanes of those that are left at work."""
        at_work = {each.name for each in lanes if each.doing in {Doing.SENDING, Doing.PAUSED}}
        with self._lock:
            self._reap()
            for name, sender in self._running.items():
                if name not in at_work:
                    _end(sender)
            return sorted(at_work & self._running.keys())

    def _reap(self) -> None:
        for name, (process, told) in list(self._running.items()):
            code = process.poll()
            if code is None:
                continue
            del self._running[name]
            told.seek(0)
            words = told.read(65_536).decode("utf-8", errors="replace").strip()
            told.close()
            if code not in _GOOD_ENDS:
                said = words.removeprefix("Error: ")[-_MOST_WORDS:]
                self._faults[name] = said or f"the sender ended by itself (exit code {code})"


def _end(sender: tuple[subprocess.Popen[bytes], IO[bytes]]) -> None:
    process, told = sender
    process.terminate()
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(10)
    if process.poll() is None:
        process.kill()
        process.wait()
    told.close()
