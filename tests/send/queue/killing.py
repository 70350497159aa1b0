"""One trial: send a job, kill its sender at a random instant, resume, and judge by the machine.

The judge knows only what the machine logged that it did.
"""

import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Self

import numpy as np

from cutpath.geometry.chain import polyline
from cutpath.model import Feature, Role, Toolpath
from cutpath.proving import write_and_prove
from cutpath.resuming import resume_job
from cutpath.run_making import RunTitle, make_run
from cutpath.run_model import Run, Wish
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.values import Kind, State
from cutpath.settings.profile import load_profile
from tests.send.queue.machine_process import BEGIN, END

HERE = Path(__file__).parent
ROOT = HERE.parents[2]
LANE = "killed"
PACE = 0.0015
_QUIET = 0.05
_LINKS = {
    "plain": 'flow = "plain"',
    "enquire": 'flow = "enquire"\nbuffer = 512',
    "line reply": 'flow = "line reply"\nbuffer = 128\nstatus = false',
}


@dataclass(frozen=True)
class Verdict:
    """What one kill came to: strokes done for certain, named in doubt, and made twice."""

    strokes: int
    known: int
    doubtful: int
    twice: int
    was_begun: bool


class Workshop:
    """A machine process, a process that forks senders, and a queue between them."""

    def __init__(self, folder: Path, flow: str) -> None:
        self.folder, self.base = folder, _base(flow)
        # A plain link takes what the system holds at once: only a long job is killed on its way.
        self.is_long = flow == "plain"
        self.log = folder / "machine.log"
        self.machine = _process(["machine_process.py", str(self.log), str(PACE), flow])
        port = self._line(self.machine)
        (folder / "killed.toml").write_text(
            f'extends = "{self.base}"\nname = "killed"\n[link]\nway = "tcp"\n'
            f'address = "127.0.0.1:{port}"\n{_LINKS[flow]}\n',
            encoding="utf-8",
        )
        self.senders = _process(["-m", "tests.send.queue.sender_process"])
        assert self._line(self.senders) == "ready"
        self.queue = Queue(folder / "queue")
        self.queue.add_lane(LANE, folder / "killed.toml", asks=False)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *error: object) -> None:
        self.queue.close()
        for process in (self.senders, self.machine):
            process.kill()
            process.communicate()

    def trial(self, luck: random.Random) -> Verdict:
        """Send a job, kill its sender, resume what is left, and judge."""
        run = a_job(luck, self.base, self.is_long)
        job = self.queue.add(run, LANE)
        self.queue.wish(LANE, Wish.GO_ON)
        before = len(self._logged())
        whole = PACE * run.data.count(b"\n")
        sender = self._begin()
        if luck.random() < 0.8:
            self._await_begin(job.number)
            time.sleep(luck.uniform(0.0, 1.1) * whole)
        else:
            time.sleep(luck.uniform(0.0, 0.1))
        os.kill(sender, signal.SIGKILL)
        self._wait()
        self.queue.recover()
        state = self.queue.job(job.number).state
        if state is State.WAITING:  # killed before it was begun
            self.queue.remove(job.number)
            assert self._done(before) == b""
            return Verdict(len(run.strokes), 0, 0, 0, was_begun=False)
        if state is State.DONE:
            assert self._done(before).rstrip() == run.data.rstrip()
            return Verdict(len(run.strokes), len(run.strokes), 0, 0, was_begun=True)
        return self._judged(run, job.number, self._done(before))

    def _judged(self, run: Run, job: int, first: bytes) -> Verdict:
        doubt = self.queue.doubt(job)
        assert doubt is not None
        # What was done is the beginning of the job's bytes: nothing else, nothing twice.
        assert run.data.startswith(first)
        # A line's end after a semicolon is no part of its instruction.
        upto = len(first) + (run.data[len(first) :][:1] == b"\n")
        done = sum(stroke.last <= upto for stroke in run.strokes)
        begun = sum(stroke.first < upto for stroke in run.strokes)
        assert doubt.first <= done, "a stroke was taken as done that was not"
        assert begun <= doubt.last, "a stroke was begun that was not even in doubt"
        if doubt.first == len(run.strokes):
            self.queue.take_as_done(job)
            return Verdict(len(run.strokes), doubt.first, 0, 0, was_begun=True)
        resumed = resume_job(self.queue, job).job
        rest = self.queue.run(resumed.number)
        assert resumed.kind is Kind.REST
        before = len(self._logged())
        self._begin()
        assert self._wait() == 0
        assert self.queue.job(resumed.number).state is State.DONE
        # The second run did the rest's file, all of it, once; and the rest is what was left.
        assert self._done(before).rstrip() == rest.data.rstrip()
        left = [each for each in rest.strokes if each.toolpath.feature is not Feature.CHECK]
        asked = [named(stroke.toolpath) for stroke in run.strokes]
        assert [named(stroke.toolpath) for stroke in left] == asked[doubt.first :]
        made = asked[:begun] + [named(stroke.toolpath) for stroke in left]
        assert set(made) == set(asked), "something was not cut at all"
        twice = len(made) - len(asked)
        assert twice <= doubt.last - doubt.first
        return Verdict(len(asked), doubt.first, doubt.last - doubt.first, twice, was_begun=True)

    def _await_begin(self, job: int) -> None:
        end = time.monotonic() + 20.0
        while self.queue.job(job).state is State.WAITING:
            assert time.monotonic() < end, "the sender never began"
            time.sleep(0.001)

    def _begin(self) -> int:
        assert self.senders.stdin is not None
        self.senders.stdin.write(f"{self.queue.folder}\t{LANE}\n")
        self.senders.stdin.flush()
        return int(self._line(self.senders))

    def _wait(self) -> int:
        assert self.senders.stdin is not None
        self.senders.stdin.write("wait\n")
        self.senders.stdin.flush()
        return int(self._line(self.senders))

    def _logged(self) -> bytes:
        return self.log.read_bytes() if self.log.exists() else b""

    def _done(self, since: int) -> bytes:
        """What the machine did since its log was so long, once it rests."""
        end, quiet_since, seen = time.monotonic() + 30.0, time.monotonic(), b""
        while True:
            now = time.monotonic()
            assert now < end, "the machine never came to rest"
            log = self._logged()
            if log != seen or log.count(BEGIN) != log.count(END):
                seen, quiet_since = log, now
            elif now - quiet_since > _QUIET:
                # A sender begins a line-reply link with an empty line, to wake it.
                return log[since:].replace(BEGIN, b"").replace(END, b"").lstrip(b"\n")
            time.sleep(0.005)

    @staticmethod
    def _line(process: "subprocess.Popen[str]") -> str:
        assert process.stdout is not None
        return process.stdout.readline().strip()


def _process(arguments: list[str]) -> "subprocess.Popen[str]":
    if arguments[0].endswith(".py"):
        arguments = [str(HERE / arguments[0]), *arguments[1:]]
    return subprocess.Popen(
        [sys.executable, *arguments],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def named(path: Toolpath) -> tuple[str, str, bytes]:
    """Give what tells one stroke from every other."""
    return path.piece, path.feature.value, path.chain.points.tobytes()


def _base(flow: str) -> str:
    return "gantry-rs274" if flow == "line reply" else "flatbed-hpgl"


def a_job(luck: random.Random, machine: str, is_long: bool) -> Run:
    """A proved job of some pieces: pen lines and notches, then outlines, all of them unlike."""
    profile = load_profile(machine)
    paths: dict[Role, list[Toolpath]] = {Role.PEN: [], Role.KNIFE: []}
    for number in range(luck.randint(10, 16) if is_long else luck.randint(2, 5)):
        x, y = 50 + 150 * number + luck.random(), 50 + luck.randrange(400)
        size = luck.uniform(30, 120)
        piece = f"piece {number + 1}"
        mark = np.array([(x + 5, y + 5), (x + 20, y + 5), (x + 20, y + 12)])
        paths[Role.PEN].append(Toolpath(Role.PEN, Feature.LINE, piece, polyline(mark)))
        notch = np.array([(x, y + 10), (x + 4, y + 10)])
        paths[Role.KNIFE].append(Toolpath(Role.KNIFE, Feature.NOTCH, piece, polyline(notch)))
        corners = 150 if is_long else luck.choice((3, 9, 40))
        turns = 2 * np.pi * np.arange(corners) / corners
        ring = np.column_stack(
            [x + size * (1 + np.cos(turns)) / 2, y + size * (1 + np.sin(turns)) / 2]
        )
        loop = polyline(ring, closed=True)
        paths[Role.KNIFE].append(Toolpath(Role.KNIFE, Feature.OUTLINE, piece, loop))
    whole = [*paths[Role.PEN], *paths[Role.KNIFE]]
    written = write_and_prove(whole, profile)
    assert written.proof.passed
    title = RunTitle(f"job{profile.file_suffix}", "job", LANE, "linen")
    return make_run(title, whole, written, profile)
