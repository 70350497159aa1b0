"""A lane's sender at the terminal: progress, questions, Ctrl-C."""

from __future__ import annotations

import signal
import sys
import threading
import time
from pathlib import Path
from types import FrameType

import click

from cutpath.cli.queue_report import job_line
from cutpath.errors import CutpathError
from cutpath.run_model import Run, Wish
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.sender import Sender
from cutpath.send.queue.values import Doubt, Job
from cutpath.units import format_time

_BETWEEN = 0.5
_KEYS = {
    "": Wish.GO_ON, "g": Wish.GO_ON, "y": Wish.GO_ON, "p": Wish.PAUSE, "s": Wish.STOP,
}  # fmt: skip
_ENDED = "The sender ended; what waits goes on waiting."
_LET_GO = "Let go of the machine: it may work off what it holds, its tool may be down."
_HEARD = {
    Wish.PAUSE: "Pausing where the tool is next up. Ctrl-C again ends the job.",
    Wish.STOP: "Ending with the tool up … It works off what it holds; Ctrl-C lets go of it now.",
}


def send_lane(folder: Path, lane: str, *, stay: bool, yes: bool) -> int:
    """Send the lane's jobs; give 3 where one was interrupted, 130 where the operator ended it."""
    with Queue(folder) as queue:
        teller = _Terminal(queue, lane, yes=yes)
        before = signal.signal(signal.SIGINT, teller.interrupted)
        try:
            doubt = Sender(queue, lane, teller).work(stay=stay)
        except KeyboardInterrupt:
            teller.clear()
            click.echo(_LET_GO if teller.is_sending else _ENDED, err=True)
            return 130
        finally:
            teller.clear()
            signal.signal(signal.SIGINT, before)
        if doubt is not None:
            return 130 if teller.was_stopped else 3
        blocked = [job for job in queue.jobs(lane) if job.state.value == "interrupted"]
        if blocked:
            number = blocked[0].number
            click.echo(
                f"Job {number} is interrupted; nothing else is sent before you decide. See: "
                f"cutpath queue show {number}",
                err=True,
            )
            return 3
        click.echo("Nothing more waits.")
        return 0


class _Terminal:
    """Tells and asks."""

    def __init__(self, queue: Queue, lane: str, *, yes: bool) -> None:
        self.queue, self.lane, self.yes = queue, lane, yes
        self.is_sending = False
        self.has_begun = False
        self.was_stopped = False
        self._is_live = sys.stderr.isatty()
        self._told = 0.0
        self._piece = ""
        self._widest = 0
        self._interrupts = 0
        self._is_paused = False
        if sys.stdin.isatty():
            threading.Thread(target=self._read_keys, daemon=True).start()

    def asks(self, job: Job, run: Run) -> None:
        """Ask whether the bed is ready."""
        click.echo(f"Next: {job_line(job).strip()}")
        for words in (run.note, *(f"caution: {caution}" for caution in run.profile.cautions)):
            if words:
                click.echo(f"  {words}")
        # On a machine that never asks somebody paused between two jobs: that stands.
        if self.yes and (self.queue.lane(self.lane).asks or not self.has_begun):
            self._wish(Wish.GO_ON)
        elif sys.stdin.isatty():
            click.echo("Is the bed ready and everybody clear? Enter begins; Ctrl-C ends.")
        else:
            click.echo(f"Waiting for: cutpath queue go {self.lane}")

    def begins(self, job: Job, run: Run) -> None:
        """Say so."""
        self.is_sending, self._is_paused, self._interrupts, self._piece = True, False, 0, ""
        self.has_begun, self.was_stopped = True, False
        copy = f", copy {job.made + 1} of {job.copies}" if job.copies > 1 else ""
        click.echo(f"Job {job.number}, {job.file}{copy}: about {format_time(run.seconds)}")

    def moved(self, run: Run, sent: int, words: str) -> None:
        """Tell how far it is, now and then."""
        if self._is_paused:
            self._is_paused, self._interrupts = False, 0
        now = time.monotonic()
        if not words and now - self._told < _BETWEEN:
            return
        self._told = now
        number = run.stroke_at(sent)
        if not 0 <= number < len(run.strokes):
            return
        stroke, left = run.strokes[number], run.seconds - run.seconds_at(sent)
        told = words or (
            f"{stroke.words} (stroke {number + 1} of {len(run.strokes)}), {format_time(left)} left"
        )
        if self._is_live:
            self._widest = max(self._widest, len(told))
            sys.stderr.write("\r" + told.ljust(self._widest))
            sys.stderr.flush()
        elif stroke.toolpath.piece != self._piece or words:
            click.echo(told, err=True)
        self._piece = stroke.toolpath.piece

    def paused(self, job: Job, run: Run, sent: int, words: str) -> None:
        """Say how to go on."""
        self.clear()
        self._is_paused = True
        how = (
            "Enter goes on, s and Enter stops."
            if sys.stdin.isatty()
            else f"cutpath queue go {self.lane} goes on, stop stops."
        )
        click.echo(f"Paused, the tool is up. {words + ' ' if words else ''}{how}")
        if words and self.yes and not sys.stdin.isatty():
            click.echo("  --yes does not answer this: only you see the cloth.", err=True)

    def ended(self, job: Job, run: Run, doubt: Doubt | None) -> None:
        """Say what came of it."""
        self.clear()
        self.is_sending = False
        if doubt is None:
            click.echo(f"Job {job.number} is sent.")
            return
        up = "" if doubt.tool_up else " The tool may be down: lift it by hand."
        click.echo(f"Job {job.number} is interrupted: {doubt.words.rstrip('.')}.{up}", err=True)
        click.echo(f"  {doubt.told(run)}", err=True)
        click.echo(f"  Look, then: cutpath queue resume {job.number}", err=True)

    def clear(self) -> None:
        """Take the line of progress away."""
        if self._widest and self._is_live:
            sys.stderr.write("\r" + " " * self._widest + "\r")
            sys.stderr.flush()
        self._widest = 0

    def interrupted(self, _signal: int, _frame: FrameType | None) -> None:
        """Ctrl-C: pause, then stop, then let go; where nothing is sent, end."""
        if not self.is_sending or self.was_stopped:
            raise KeyboardInterrupt
        self._interrupts += 1
        wish = Wish.STOP if self._is_paused or self._interrupts > 1 else Wish.PAUSE
        self.was_stopped = wish is Wish.STOP
        self.clear()
        click.echo(_HEARD[wish], err=True)
        # The main thread may be amid a transaction: another one waits for its end.
        threading.Thread(target=self._wish, args=(wish,), daemon=True).start()

    def _wish(self, wish: Wish) -> None:
        self.queue.wish(self.lane, wish)

    def _read_keys(self) -> None:
        for line in sys.stdin:
            wish = _KEYS.get(line.strip().lower()[:1])
            if wish is Wish.STOP:
                self.was_stopped = True
            if wish is not None:
                try:
                    self._wish(wish)
                except CutpathError as error:
                    click.echo(f"Error: {error}", err=True)
