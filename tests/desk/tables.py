"""A small real job for a table of the test's own, and that table, simulated: it obeys slowly."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from pathlib import Path
from types import TracebackType
from typing import Self

from cutpath.cli.main import run
from cutpath.run_model import Run
from cutpath.settings.run_file import read_run
from tests.batching.jobs import write_job

_PROFILE = """
name = "test table"
extends = "gantry-rs274"
[link]
way = "tcp"
address = "127.0.0.1:{port}"
flow = "line reply"
status = false
"""


def write_profile(folder: Path, port: int = 9) -> Path:
    """Write the profile of a table that listens on ``port`` of this machine."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "test-table.toml"
    path.write_text(_PROFILE.format(port=port), encoding="utf-8")
    return path


def cut_job(folder: Path, profile: Path, name: str = "awning") -> Run:
    """Cut a small invented job for the profile, and give what it sends."""
    job = write_job(folder / name, name)
    out = folder / f"{name}-cut"
    assert run(["cut", str(job), "--on", str(profile), "--out", str(out)]) == 0
    return read_run(next(out.glob("*.run.json")))


class Table:
    """Takes a line, obeys it for ``pace`` seconds, says ok; ``lines`` is what it obeyed."""

    def __init__(self, pace: float) -> None:
        self.pace = pace
        self.lines: list[bytes] = []
        self._line: socket.socket | None = None
        self._server = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._server.getsockname()[1])
        threading.Thread(target=self._serve, daemon=True).start()

    def _serve(self) -> None:
        while True:
            try:
                line, _ = self._server.accept()
            except OSError:
                return
            self._line = line
            with contextlib.suppress(OSError), line, line.makefile("rb") as asked:
                for said in asked:
                    time.sleep(self.pace)
                    self.lines.append(said)
                    line.sendall(b"ok\r\n")

    @property
    def obeyed(self) -> bytes:
        """Give what it obeyed, without the empty line that wakes it."""
        return b"".join(self.lines).removeprefix(b"\n")

    def unplug(self) -> None:
        """Pull the plug out of the table."""
        self._server.close()
        if self._line is not None:
            self._line.shutdown(socket.SHUT_RDWR)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._server.close()
