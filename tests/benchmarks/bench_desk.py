"""The desk beside 20 lanes at work, three pages open; the aim is 5 % of one core.

Run on demand: ``python -m tests.benchmarks.bench_desk [lanes [seconds]]`` (Linux). Senders are
imitated: each lane holds its lock, moves its mark ten times a second and widens its window in the
database every four seconds, as a sender of a real machine does. The desk's process is measured.
"""

from __future__ import annotations

import os
import socket
import sys
import tempfile
import threading
import time
from contextlib import ExitStack
from pathlib import Path

from cutpath.send.queue.lock import sole_sender
from cutpath.send.queue.mark import Mark, MarkFile
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.reading import lock_path, mark_path
from tests.desk.opened import Client, OpenedDesk
from tests.desk.tables import cut_job, write_profile

_TO_COME = 6
_PAGES = 3


def processor_seconds(pid: int) -> float:
    """Give the processor time that a process has used so far."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def watch(port: int) -> None:
    """Keep a page open."""
    client = Client(port)
    client.enter()
    line = socket.create_connection(("127.0.0.1", port))
    host = f"Host: 127.0.0.1:{port}\r\nCookie: {client.cookie}\r\n\r\n"
    line.sendall(f"GET /events HTTP/1.1\r\n{host}".encode())

    def read() -> None:
        while line.recv(1 << 20):
            pass

    threading.Thread(target=read, daemon=True).start()


def begin(queue: Queue, lane: str) -> MarkFile:
    """Let a lane's first job look as if it were being sent."""
    number, job = queue.lane(lane).number, queue.jobs(lane)[0].number
    with queue.storage.writing() as base:
        base.execute("UPDATE lanes SET doing = 'sending' WHERE number = ?", (number,))
        base.execute("UPDATE jobs SET state = 'sending' WHERE number = ?", (job,))
        base.execute(
            "INSERT INTO sendings(number, job, copy, began, boot, buffer, answers) "
            "VALUES (?, ?, 1, ?, ?, 1024, 1)",
            (number, job, queue.clock.now(), queue.clock.boot()),
        )
    return MarkFile(mark_path(queue.folder, number))


def main() -> None:
    """Print the share of one core."""
    lanes = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 30
    with tempfile.TemporaryDirectory() as folder, ExitStack() as open_:
        place = Path(folder)
        profile = write_profile(place)
        run = cut_job(place, profile)
        queue = open_.enter_context(Queue(place / "queue"))
        marks = []
        for number in range(1, lanes + 1):
            queue.add_lane(f"table {number}", profile)
            for _ in range(1 + _TO_COME):
                queue.add(run, f"table {number}")
            open_.enter_context(sole_sender(lock_path(queue.folder, number), "table"))
            marks.append(begin(queue, f"table {number}"))
        desk = open_.enter_context(OpenedDesk(place / "queue"))
        for _ in range(_PAGES):
            watch(desk.port)
        time.sleep(3)
        before, began = processor_seconds(desk.pid), time.monotonic()
        step = 0
        while (now := time.monotonic() - began) < seconds:
            at = int(len(run.data) * now / seconds)
            for number, mark in enumerate(marks, start=1):
                mark.write(Mark(number, at, at, max(0, at - 500)))
                if (step + number) % 40 == 0:
                    with queue.storage.writing() as base:
                        base.execute("UPDATE sendings SET may = ? WHERE number = ?", (at, number))
            step += 1
            time.sleep(max(0.0, began + step * 0.1 - time.monotonic()))
        used = processor_seconds(desk.pid) - before
    print("| lanes | pages | of one core |\n|---|---|---|")
    print(f"| {lanes} | {_PAGES} | {used / seconds:.1%} |")


if __name__ == "__main__":
    main()
