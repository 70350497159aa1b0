"""A day at an invented loft, by the command line alone: ten jobs, two tables, and three mishaps.

Both tables are processes of their own that log what they did. A cable is pulled, a sender is killed
without a word, one piece is cut again. In the evening the tables' logs, the jobs' bytes and the
journal must tell the same.
"""

import csv
import io
import itertools
import json
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout, suppress
from pathlib import Path
from typing import Any, Self

import pytest

from cutpath.cli.main import run
from cutpath.send.queue.journal import sendings_told
from cutpath.send.queue.queue import Queue
from tests.batching.jobs import write_job
from tests.send.queue.machine_process import BEGIN, END

ROOT = Path(__file__).parents[2]
TABLE = ROOT / "tests" / "send" / "queue" / "machine_process.py"
PACE = "0.003"
WAIT = 60.0
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")


class Cable(threading.Thread):
    """A cable to a table: it carries bytes both ways, and is pulled once at a byte of a job."""

    def __init__(self, port: int, pulled_in: int, at_byte: int) -> None:
        super().__init__(daemon=True)
        self.table = port
        self.pulled_in, self.at_byte = pulled_in, at_byte
        self.plug = socket.create_server(("127.0.0.1", 0))
        self.port = int(self.plug.getsockname()[1])
        self.start()

    def run(self) -> None:
        for number in itertools.count(1):
            try:
                near, _ = self.plug.accept()
            except OSError:
                return
            most = self.at_byte if number == self.pulled_in else None
            with near, socket.create_connection(("127.0.0.1", self.table)) as far:
                back = threading.Thread(target=carry, args=(far, near, None), daemon=True)
                back.start()
                carry(near, far, most)
                back.join()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        self.plug.shutdown(socket.SHUT_RDWR)
        self.join()
        self.plug.close()


def carry(one: socket.socket, other: socket.socket, most: int | None) -> None:
    """Carry bytes until an end closes, or ``most`` have gone through: then both ends are dead."""
    carried = 0
    with suppress(OSError):
        while data := one.recv(64):
            carried += len(data)
            if most is not None and carried > most:
                one.shutdown(socket.SHUT_RDWR)
                break
            other.sendall(data)
    with suppress(OSError):
        other.shutdown(socket.SHUT_RDWR)


@contextmanager
def table(log: Path, flow: str) -> Iterator[int]:
    """Run a table; give its port."""
    command = [sys.executable, str(TABLE), str(log), PACE, flow]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            yield int(process.stdout.readline())
        finally:
            process.kill()


def did(log: Path) -> bytes:
    """Give all that a table did, once it rests."""
    end, seen, since = time.monotonic() + WAIT, b"", time.monotonic()
    while time.monotonic() < end:
        now = log.read_bytes()
        if now != seen or now.count(BEGIN) != now.count(END):
            seen, since = now, time.monotonic()
        elif time.monotonic() - since > 0.2:
            return now
        time.sleep(0.02)
    raise AssertionError("the table never came to rest")


class Loft:
    """The loft's own computer: everything is done by commands."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def say(self, *words: object, code: int = 0) -> str:
        """Give a command, and what it answers."""
        out, err = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err):
            ended = run([str(word) for word in words])
        assert ended == code, (words, ended, out.getvalue(), err.getvalue())
        return out.getvalue() + err.getvalue()

    def begin(self, *words: object) -> "subprocess.Popen[bytes]":
        return subprocess.Popen(
            [sys.executable, "-m", "cutpath", *map(str, words)],
            cwd=ROOT,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def told(self) -> dict[str, Any]:
        facts: dict[str, Any] = json.loads(self.say("queue", "list", "--done", "--json"))
        return facts

    def jobs(self, lane: str = "") -> list[dict[str, Any]]:
        """Give the jobs of the queue as they were added."""
        jobs = [job for job in self.told()["jobs"] if lane in {"", job["lane"]}]
        return sorted(jobs, key=lambda job: int(job["number"]))

    def state(self, number: int) -> str:
        return next(str(job["state"]) for job in self.jobs() if job["number"] == number)

    def await_share(self, job: int, share: float) -> None:
        """Wait until so much of a job was sent."""
        end = time.monotonic() + WAIT
        while time.monotonic() < end:
            for machine in self.told()["machines"]:
                at = machine["progress"]
                if at is not None and at["job"] == job and at["share"] >= share:
                    return
            time.sleep(0.02)
        raise AssertionError(f"job {job} never came so far")

    def work_off(self, lane: str) -> None:
        """Send all that waits; where the sender stops for a look, look and go on."""
        sender = self.begin("queue", "run", lane, "--yes")
        end = time.monotonic() + WAIT
        while sender.poll() is None and time.monotonic() < end:
            doing = {each["name"]: each["doing"] for each in self.told()["machines"]}
            if doing[lane] == "paused":
                self.say("queue", "go", lane)
            time.sleep(0.05)
        assert sender.poll() is not None, self.say("queue", "list", "--done")
        assert sender.wait(1) == 0


def prepared(loft: Loft, folder: Path) -> dict[str, list[Path]]:
    """Prepare five jobs for each table; give the machine files."""
    files = {}
    for name, first in (("north", 0), ("south", 5)):
        for number in range(first, first + 5):
            write_job(folder / f"{name}-jobs" / f"cover {number}", f"cover {number}", 240 + number)
        loft.say(
            "batch", folder / f"{name}-jobs", "--on", folder / f"{name}.toml",
            "--out", folder / name, "--no-sheet", "--workers", 1,
        )  # fmt: skip
        files[name] = sorted(
            path for path in (folder / name).rglob("cover-*") if path.suffix in {".plt", ".ngc"}
        )
        assert len(files[name]) == 5
    return files


def sendings(log: bytes) -> list[bytes]:
    """Give what came over each connection and was done."""
    parts = [part.partition(END)[0] for part in log.split(BEGIN)[1:]]
    # A sender begins a line-reply link with an empty line, to wake it.
    return [part.strip() for part in parts if part.strip()]


def test_ten_jobs_two_tables_and_three_mishaps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CUTPATH_QUEUE", str(tmp_path / "queue"))
    loft = Loft(tmp_path)
    logs = {name: tmp_path / f"{name}.log" for name in ("north", "south")}
    with (
        table(logs["north"], "enquire") as north,
        table(logs["south"], "line reply") as south,
        Cable(north, pulled_in=2, at_byte=900) as cable,
    ):
        links = {
            "north": ("flatbed-hpgl", cable.port, 'flow = "enquire"\nbuffer = 512'),
            "south": ("gantry-rs274", south, 'flow = "line reply"\nbuffer = 128\nstatus = false'),
        }
        for name, (base, port, flow) in links.items():
            (tmp_path / f"{name}.toml").write_text(
                f'extends = "{base}"\nname = "Table {name}"\n[link]\nway = "tcp"\n'
                f'address = "127.0.0.1:{port}"\n{flow}\n'
            )
        files = prepared(loft, tmp_path)
        for name, paths in files.items():
            loft.say("queue", "machine", name, "--on", tmp_path / f"{name}.toml", "--no-ask")
            loft.say("queue", "add", *paths, "--to", name)
        assert len(loft.jobs()) == 10

        # Both tables cut. North's cable is pulled in its second job; the sender of south is killed
        # in the middle of its third.
        senders = {name: loft.begin("queue", "run", name, "--yes") for name in files}
        first, second = (job["number"] for job in loft.jobs("north")[:2])
        third = loft.jobs("south")[2]["number"]
        loft.await_share(third, 0.3)
        senders["south"].send_signal(signal.SIGKILL)
        senders["south"].wait(WAIT)
        assert senders["north"].wait(WAIT) == 3
        for name, number in (("north", second), ("south", third)):
            # Nothing goes out by itself before somebody decides.
            loft.say("queue", "run", name, "--yes", code=3)
            assert loft.state(number) == "interrupted"
            assert "in doubt" in loft.say("queue", "show", number)
            loft.say("queue", "resume", number)
            loft.work_off(name)

        # A piece of the first job was spoilt: it is cut again.
        loft.say("queue", "recut", first, "sheet")
        loft.work_off("north")
        done = {name: sendings(did(log)) for name, log in logs.items()}
    for name, log in done.items():
        judge(loft, name, log, {"north": 2, "south": 3}[name])
    told_in_the_journal(loft, second, third)


def judge(loft: Loft, name: str, done: list[bytes], interrupted: int) -> None:
    """Compare what a table did with the files of its jobs."""
    jobs = loft.jobs(name)
    with Queue(loft.folder / "queue") as queue:
        files = {job["number"]: queue.run(job["number"]).data.strip() for job in jobs}
        order = [row["job"] for row in sendings_told(queue.journal()) if row["lane"] == name]
    assert len(done) == len(order)
    for place, (number, work) in enumerate(zip(order, done, strict=True), start=1):
        if place == interrupted:
            assert files[number].startswith(work)
            assert len(work) < len(files[number])
        else:
            assert work == files[number], f"sending {place} of {name}"


def told_in_the_journal(loft: Loft, second: int, third: int) -> None:
    rows = list(csv.DictReader(io.StringIO(loft.say("queue", "journal", "--csv"))))
    assert len(rows) == 13  # ten jobs, two rests, one piece again
    assert [row["kind"] for row in rows].count("recut") == 1
    broken = {int(row["job"]): row for row in rows if row["outcome"] == "interrupted"}
    assert broken.keys() == {second, third}
    assert broken[second]["fault"]
    for row in broken.values():
        assert int(row["strokes_done"]) + int(row["strokes_in_doubt"]) <= int(row["strokes"])
        assert int(row["strokes_in_doubt"]) >= 1
    rests = {int(row["origin"]) for row in rows if row["kind"] == "rest"}
    assert rests == {second, third}
    assert all(row["outcome"] == "finished" for row in rows if int(row["job"]) not in broken)
    assert all(job["state"] == "done" for job in loft.jobs() if job["number"] not in broken)
