"""A simulated machine as a process of its own, behind a pseudo-terminal or a TCP port.

``python -m tests.send.served tcp|pty LOG SPEC``: SPEC is JSON of ``Spec`` and ``Faults``. It tells
where it listens, and appends every instruction to LOG as it obeys it, so that LOG can be judged
even after the machine or the sender was killed.
"""

from __future__ import annotations

import json
import os
import select
import socket
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from subprocess import PIPE, Popen
from typing import IO, Any

from tests.send.simulated import Faults, Machine, Spec, machine_of

_TICK = 0.002


def main(way: str, log: str, said: str) -> None:
    """Serve one machine until the other side has gone and all is worked off."""
    facts = json.loads(said)
    spec = Spec(**facts["spec"])
    faults: dict[str, Any] = {
        key: tuple(v) if isinstance(v, list) else v for key, v in facts["faults"].items()
    }
    if "garbage" in faults:
        faults["garbage"] = bytes.fromhex(faults["garbage"])
    machine = machine_of(spec, Faults(**faults))
    with Path(log).open("ab", buffering=0) as book:
        (_serve_tcp if way == "tcp" else _serve_pty)(machine, book)


def _serve_tcp(machine: Machine, book: IO[bytes]) -> None:
    with socket.socket() as server:
        # What the system would take ahead of the machine is kept small.
        server.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
        server.bind(("127.0.0.1", 0))
        server.listen()
        _tell(f"127.0.0.1:{server.getsockname()[1]}")
        link, _ = server.accept()
    with link:
        _work(machine, book, link.fileno(), link.recv, link.sendall)
        if machine.is_dropped:
            link.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")


def _serve_pty(machine: Machine, book: IO[bytes]) -> None:
    import tty

    master, slave = os.openpty()
    tty.setraw(slave)
    _tell(os.ttyname(slave))
    waiting = [slave]

    def take(size: int) -> bytes:
        data = os.read(master, size)
        while waiting:  # kept open until the sender is there: otherwise it would look hung up
            os.close(waiting.pop())
        return data

    _work(machine, book, master, take, lambda data: os.write(master, data))
    os.close(master)


def _tell(place: str) -> None:
    sys.stdout.write(place + "\n")
    sys.stdout.flush()


def _work(
    machine: Machine,
    book: IO[bytes],
    file: int,
    take: Callable[[int], bytes],
    give: Callable[[bytes], Any],
) -> None:
    start, written, is_open = time.monotonic(), 0, True
    while is_open or not machine.is_idle:
        now = time.monotonic() - start
        room = 0 if not is_open or machine.holds or _is_held(machine) else 16
        ready = select.select([file] if room else [], [], [], _TICK)[0]
        if ready:
            try:
                data = take(room)
            except OSError:
                data = b""
            is_open = bool(data)
            machine.take(data, now)
        machine.run(time.monotonic() - start)
        for work in machine.obeyed[written:]:
            book.write(work)
        written = len(machine.obeyed)
        said = machine.hear()
        if said and is_open:
            try:
                give(said)
            except OSError:
                is_open = False
        is_open = is_open and not machine.is_dropped
        if not is_open and machine.now > 1e6:
            return


def _is_held(machine: Machine) -> bool:
    """Tell whether Xoff has reached the port's driver, whose queue the terminal's buffer is."""
    return getattr(machine, "is_xoff", False) and machine.free < machine.spec.xoff_room // 2


@contextmanager
def serving(way: str, log: Path, spec: dict[str, Any], faults: dict[str, Any]) -> Iterator[str]:
    """Run such a machine; give where it listens. It ends by itself, or with the block."""
    facts = json.dumps({"spec": spec, "faults": faults})
    command = [sys.executable, "-m", "tests.send.served", way, str(log), facts]
    root = Path(__file__).parents[2]
    with Popen(command, stdout=PIPE, text=True, cwd=root) as process:
        assert process.stdout is not None
        try:
            yield process.stdout.readline().strip()
            process.wait(10)
        finally:
            process.kill()


if __name__ == "__main__":
    main(*sys.argv[1:])
