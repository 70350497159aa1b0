"""A way to a machine that takes all bytes at once, and breaks where a test wants."""

from cutpath.errors import Source
from cutpath.run_model import Run
from cutpath.send.channel import Channel, LinkError
from cutpath.send.queue.queue import Queue
from cutpath.send.queue.values import Doubt, Job
from cutpath.settings.profile import Link


class Wire:
    """One connection; ``took`` is what the machine has."""

    is_whole = False
    unseen = 0

    def __init__(self, breaks_at: int | None = None, portion: int = 7) -> None:
        self.took = b""
        self.breaks_at = breaks_at
        self.portion = portion
        self.is_closed = False

    def write(self, data: bytes | memoryview, timeout: float) -> int:
        part = bytes(data[: self.portion])
        if self.breaks_at is not None and len(self.took) + len(part) > self.breaks_at:
            self.took += part[: self.breaks_at - len(self.took)]
            raise LinkError("the cable is loose", Source(), "Put it in.")
        self.took += part
        return len(part)

    def read(self, timeout: float) -> bytes:
        return b""

    def pending(self) -> int:
        return 0

    def finish(self, timeout: float) -> bool:
        self.close()
        return True

    def close(self) -> None:
        self.is_closed = True


class Wires:
    """Opens prepared wires, one a job."""

    def __init__(self, *wires: Wire) -> None:
        self.coming = list(wires)
        self.opened: list[Wire] = []

    def __call__(self, link: Link, name: str) -> Channel:
        if not self.coming:
            raise LinkError("the machine does not answer", Source(), "Is it switched on?")
        self.opened.append(self.coming.pop(0))
        return self.opened[-1]


class Heard:
    """A teller that keeps what it hears, and does what a test wants at some byte."""

    def __init__(self, queue: Queue) -> None:
        self.queue = queue
        self.told: list[str] = []
        self.at: dict[int, object] = {}

    def asks(self, job: Job, run: Run) -> None:
        self.told.append(f"asks {job.number}")

    def begins(self, job: Job, run: Run) -> None:
        self.told.append(f"begins {job.number}")

    def moved(self, run: Run, sent: int, words: str) -> None:
        for byte in sorted(self.at):
            if sent >= byte:
                act = self.at.pop(byte)
                act()  # type: ignore[operator]

    def paused(self, job: Job, run: Run, sent: int, words: str) -> None:
        self.told.append(f"paused {job.number} at {sent}" + (": look" if words else ""))

    def ended(self, job: Job, run: Run, doubt: Doubt | None) -> None:
        self.told.append(f"ended {job.number}" + ("" if doubt is None else " in doubt"))
