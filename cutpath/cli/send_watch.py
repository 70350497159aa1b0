"""Whoever watches a direct sending: progress on the terminal, and Ctrl-C as pause and stop."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

import click

from cutpath.run_model import Run, Wish
from cutpath.units import format_time

_BETWEEN = 0.5
_ONE_PRESS = 0.3
"""Seconds in which Ctrl-C counts once: programs that start others may pass it on a second time."""


class TerminalWatch:
    """Tells how far the machine is, by its own time and by piece.

    A machine is taken to be no quicker than its clock, unless its own ``answers`` tell otherwise.
    """

    at_once = 65_536

    def __init__(self, run: Run, *, answers: bool = False) -> None:
        self.run = run
        self.answers = answers
        self.wanted = Wish.GO_ON
        self.taken = 0
        self._elapsed = 0.0
        self._resumed: float | None = None
        self._told = 0.0
        self._piece = ""
        self._widest = 0
        self._live = sys.stderr.isatty()

    def about_to_send(self, first: int, last: int) -> None:
        """Start the clock."""
        if self._resumed is None:
            self._resumed = time.monotonic()

    def sent(self, upto: int) -> None:
        """Nothing to tell: what counts is how far the machine is."""

    def confirmed(self, upto: int) -> None:
        """Keep how far the machine is."""
        self.taken = upto

    def standing(self, words: str) -> None:
        """Tell why the machine stands."""
        self.clear()
        click.echo(f"The machine stands: {words}." if words else "It goes on.", err=True)

    def wish(self) -> Wish:
        """Give what Ctrl-C asked for, and tell progress now and then."""
        now = time.monotonic()
        if now - self._told >= _BETWEEN:
            self._told = now
            self._tell()
        return self.wanted

    def rest(self) -> None:
        """Stop the clock: nothing is sent for now."""
        if self._resumed is not None:
            self._elapsed += time.monotonic() - self._resumed
            self._resumed = None
        self.clear()

    @property
    def seconds(self) -> float:
        """Where the machine is in its own time, as far as can be known."""
        running = time.monotonic() - self._resumed if self._resumed is not None else 0.0
        by_clock = min(self._elapsed + running, self.run.seconds_at(self.taken))
        # What it took and cannot hold any more is done.
        past = self.taken - self.run.profile.link.buffer if self.answers else 0
        return max(by_clock, self.run.seconds_at(max(past, 0)))

    def clear(self) -> None:
        """Take the line of progress away."""
        if self._widest and self._live:
            sys.stderr.write("\r" + " " * self._widest + "\r")
            sys.stderr.flush()
        self._widest = 0

    def _tell(self) -> None:
        run, at = self.run, self.seconds
        number = next((n for n, each in enumerate(run.strokes) if each.seconds > at), None)
        if number is None or self._resumed is None:
            return
        stroke = run.strokes[number]
        words = (
            f"{format_time(at)} of {format_time(run.seconds)}, {stroke.words} "
            f"(stroke {number + 1} of {len(run.strokes)})"
        )
        if self._live:
            self._widest = max(self._widest, len(words))
            sys.stderr.write("\r" + words.ljust(self._widest))
            sys.stderr.flush()
        elif stroke.toolpath.piece != self._piece:
            click.echo(words, err=True)
        self._piece = stroke.toolpath.piece


@contextmanager
def interrupts(watch: TerminalWatch) -> Iterator[None]:
    """Let Ctrl-C wish: the first a pause, the second a stop, the third lets go of the machine."""
    last = -_ONE_PRESS

    def hear(_signal: int, _frame: FrameType | None) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last < _ONE_PRESS:
            return
        last = now
        watch.clear()
        if watch.wanted is Wish.GO_ON:
            watch.wanted = Wish.PAUSE
            click.echo("Pausing where the tool is next up. Ctrl-C again ends the job.", err=True)
        elif watch.wanted is Wish.PAUSE:
            watch.wanted = Wish.STOP
            click.echo(
                "Ending with the tool up … It works off what it holds; Ctrl-C lets go of it now.",
                err=True,
            )
        else:
            raise KeyboardInterrupt

    before = signal.signal(signal.SIGINT, hear)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
