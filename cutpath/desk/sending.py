"""A lane's sender without a terminal: ``python -m cutpath.desk.sending FOLDER LANE``.

All that it tells stands in the queue. Asked to end (SIGTERM), it ends at once where it sends
nothing, and else when the job that it is at has ended: a cut is never left in the middle for it.
"""

from __future__ import annotations

import signal
import sys
from pathlib import Path

from cutpath.errors import CutpathError
from cutpath.run_model import Run
from cutpath.send.queue.clocks import Clock
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.sender import Sender
from cutpath.send.queue.values import Doing, Doubt, Job


class _Ending(Clock):
    """The system's clock; while the lane's sender waits on it, it may be asked to end."""

    def __init__(self, lane: str) -> None:
        self._lane = lane
        self.queue: Queue | None = None
        self.is_asked = False

    def ask(self, _signal: int, _frame: object) -> None:
        """End when nothing is being sent: now, or when the job has ended."""
        self.is_asked = True

    def sleep(self, seconds: float) -> None:
        """Wait, and end if that is asked and no job is at work."""
        super().sleep(seconds)
        if self.is_asked and self.queue is not None:
            query = "SELECT doing FROM lanes WHERE name = ?"
            doing = self.queue.storage.rows(query, (self._lane,))[0][0]
            if doing in {Doing.IDLE.value, Doing.ASKS.value}:
                raise SystemExit(0)


class _Quiet:
    """A teller that tells nobody: all of it stands in the queue."""

    def __init__(self, clock: _Ending) -> None:
        self._clock = clock

    def asks(self, job: Job, run: Run) -> None:
        """Say nothing."""

    def begins(self, job: Job, run: Run) -> None:
        """Say nothing."""

    def moved(self, run: Run, sent: int, words: str) -> None:
        """Say nothing."""

    def paused(self, job: Job, run: Run, sent: int, words: str) -> None:
        """Say nothing."""

    def ended(self, job: Job, run: Run, doubt: Doubt | None) -> None:
        """End before the next job, if that is asked."""
        if self._clock.is_asked:
            raise SystemExit(0)


def main() -> int:
    """Send what comes into the lane until asked to end; words of trouble on the error stream."""
    folder, lane = sys.argv[1:]
    clock = _Ending(lane)
    signal.signal(signal.SIGTERM, clock.ask)
    try:
        with Queue(Path(folder), clock) as queue:
            clock.queue = queue
            Sender(queue, lane, _Quiet(clock)).work(stay=True)
    except CutpathError as error:
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    return 0


if __name__ == "__main__":
    sys.exit(main())
