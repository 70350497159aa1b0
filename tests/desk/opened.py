"""A desk of its own process, and a plain client that says exactly what a test wants."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from http.client import HTTPConnection
from pathlib import Path
from queue import Queue as Line
from types import TracebackType
from typing import Self

ROOT = Path(__file__).parents[2]


class OpenedDesk:
    """``cutpath desk`` on a port of its own; ``said`` is what it printed."""

    def __init__(self, queue: Path, *more: str) -> None:
        self.said: list[str] = []
        self._lines: Line[str] = Line()
        command = [sys.executable, "-m", "cutpath", "desk", "--queue", str(queue), *more]
        if "--port" not in more:
            command += ["--port", "0"]
        self._process = subprocess.Popen(
            command,
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        threading.Thread(target=self._listen, daemon=True).start()
        self.port = int(self.line(r"http://[^:]+:(\d+)/"))

    def _listen(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self.said.append(line)
            self._lines.put(line)

    def line(self, pattern: str) -> str:
        """Wait for a line that fits and give its group."""
        while True:
            found = re.search(pattern, self._lines.get(timeout=60))
            if found:
                return found[1]

    @property
    def pid(self) -> int:
        """Give its process number."""
        return self._process.pid

    def code(self) -> str:
        """Give the next code that the terminal shows."""
        return self.line(r"Code for the next device: ([\d ]+)")

    def __enter__(self) -> Self:
        return self

    def close(self) -> int:
        """Press Ctrl-C; give the exit code."""
        self._process.send_signal(signal.SIGINT)
        return self._process.wait(30)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._process.poll() is None:
            self._process.kill()
        self._process.wait()
        assert self._process.stdout is not None
        self._process.stdout.close()


@dataclass
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    text: str


@dataclass
class Client:
    """A device that keeps its cookie and token, and says what it is told to."""

    port: int
    host: str = ""
    cookie: str = ""
    token: str = ""
    headers: dict[str, str] = field(default_factory=dict)

    def ask(self, method: str, path: str, body: str | None = None, **headers: str | None) -> Answer:
        """Send one request; a header given as None is left out."""
        host = self.host or f"127.0.0.1:{self.port}"
        told: dict[str, str | None] = {"Host": host, **self.headers}
        if self.cookie:
            told["Cookie"] = self.cookie
        if method == "POST":
            told |= {"Origin": f"http://{host}", "X-Cutpath-Token": self.token}
        told |= {name.replace("_", "-"): value for name, value in headers.items()}
        connection = HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            data = None if body is None else body.encode()
            if data is not None:
                told.setdefault("Content-Length", str(len(data)))
            for name, value in told.items():
                if value is not None:
                    connection.putheader(name, value)
            connection.endheaders(data)
            answer = connection.getresponse()
            text = answer.read().decode("utf-8", errors="replace")
            found = {name.lower(): value for name, value in answer.getheaders()}
        finally:
            connection.close()
        if "set-cookie" in found:
            self.cookie = found["set-cookie"].split(";")[0]
        return Answer(answer.status, found, text)

    def enter(self) -> Answer:
        """Load the page and take its token."""
        page = self.ask("GET", "/")
        found = re.search(r'name="token" content="([0-9a-f]+)"', page.text)
        self.token = found[1] if found else ""
        return page


def raw(port: int, data: bytes) -> bytes:
    """Send bytes that no client would, and give what comes back until the other side ends."""
    import socket

    with socket.create_connection(("127.0.0.1", port), timeout=10) as line:
        line.sendall(data)
        out = b""
        while part := line.recv(65_536):
            out += part
    return out
