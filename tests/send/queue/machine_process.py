"""A machine in a process of its own: it outlives every sender and logs what it did.

Run as ``python machine_process.py LOG PACE FLOW``: tells its port, then obeys one connection after
the other. Instructions are logged once they are obeyed, exactly as they came; a connection's end is
logged when everything it brought is obeyed. FLOW is ``plain`` and ``enquire`` (HP-GL), or ``line
reply`` (RS274). Only the standard library: it starts in no time.
"""

import socket
import sys
import time
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO, cast

BEGIN = b"\n+++ a connection came\n"
END = b"\n--- the connection ended\n"
_HELD = 512
_BLOCK = 80
"""Bytes that it takes before it has obeyed them."""


def serve(log: Path, pace: float, flow: str) -> None:
    """Obey connections for ever; ``pace`` is seconds an instruction."""
    with socket.create_server(("127.0.0.1", 0)) as server, log.open("ab", buffering=0) as out:
        server.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1)
        sys.stdout.write(f"{server.getsockname()[1]}\n")
        sys.stdout.flush()
        while True:
            link, _ = server.accept()
            out.write(BEGIN)
            with link:
                _Obeying(link, cast(BinaryIO, out), pace, flow).all()
            out.write(END)


class _Obeying:
    """One connection."""

    def __init__(self, link: socket.socket, out: BinaryIO, pace: float, flow: str) -> None:
        self.link, self.out, self.pace, self.flow = link, out, pace, flow
        self.closes = b"\n" if flow == "line reply" else b";"
        self.held = b""
        self.is_open = True
        self.is_asked = False

    def all(self) -> None:
        while self.is_open or self.closes in self.held:
            self._grant()
            if self.is_open and len(self.held) < _HELD:
                self._take()
            self._grant()
            if self.closes in self.held:
                place = self.held.index(self.closes) + 1
                time.sleep(self.pace)
                self.out.write(self.held[:place])
                self.held = self.held[place:]
                if self.flow == "line reply":
                    self._say(b"ok\n")

    def _grant(self) -> None:
        if self.is_asked and len(self.held) <= _HELD - _BLOCK:
            self.is_asked = False
            self._say(b"\x06")

    def _take(self) -> None:
        self.link.settimeout(0.0 if self.closes in self.held else None)
        try:
            data = self.link.recv(_HELD - len(self.held))
        except BlockingIOError:
            return
        except OSError:
            data = b""
        self.is_open = bool(data)
        if self.flow == "enquire" and b"\x05" in data:
            self.is_asked = True
            data = data.replace(b"\x05", b"")
        self.held += data

    def _say(self, words: bytes) -> None:
        if self.is_open:
            with suppress(OSError):
                self.link.sendall(words)


if __name__ == "__main__":
    serve(Path(sys.argv[1]), float(sys.argv[2]), sys.argv[3])
