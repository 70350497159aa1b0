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
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.sender import Sender
from cutpath.send.queue.values import Doubt, Job


class _Quiet:
    """A teller that tells nobody, and knows when it may end."""

    def __init__(self) -> None:
        self.is_at_work = False
        self.is_asked_to_end = False

    def asks(self, job: Job, run: Run) -> None:
        """Say nothing: it stands in the queue."""

    def begins(self, job: Job, run: Run) -> None:
        self.is_at_work = True

    def moved(self, run: Run, sent: int, words: str) -> None:
        """Say nothing: it stands in the queue."""

    def paused(self, job: Job, run: Run, sent: int, words: str) -> None:
        """Say nothing: it stands in the queue."""

    def ended(self, job: Job, run: Run, doubt: Doubt | None) -> None:
        self.is_at_work = False
        if self.is_asked_to_end:
            raise SystemExit(0)

    def end(self, _signal: int, _frame: object) -> None:
        """End now, or as soon as nothing is being sent."""
        self.is_asked_to_end = True
        if not self.is_at_work:
            raise SystemExit(0)


def main() -> int:
    """Send what comes into the lane until asked to end; words of trouble on the error stream."""
    folder, lane = sys.argv[1:]
    quiet = _Quiet()
    signal.signal(signal.SIGTERM, quiet.end)
    try:
        with Queue(Path(folder)) as queue:
            Sender(queue, lane, quiet).work(stay=True)
    except CutpathError as error:
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    return 0


if __name__ == "__main__":
    sys.exit(main())
