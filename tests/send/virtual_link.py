"""A line in virtual time to a simulated machine: as fast as the processor, to the byte exact."""

from __future__ import annotations

import random

from cutpath.send.channel import LinkError
from tests.send.simulated import Machine

_QUANTUM = 0.001


class VirtualLink:
    """Carries ``rate`` bytes a second; ``queue`` bytes may wait on this side."""

    is_whole = False
    unseen = 0

    def __init__(
        self, machine: Machine, rate: float = 11_520.0, queue: int = 64, seed: int = 0
    ) -> None:
        self.machine = machine
        self.rate = rate
        self.room = queue
        self.now = 0.0
        self.is_closed = False
        self._queue = bytearray()
        self._inbox = bytearray()
        self._credit = 0.0
        self._luck = random.Random(seed)

    def clock(self) -> float:
        return self.now

    def write(self, data: bytes | memoryview, timeout: float) -> int:
        self._still_stands()
        end = self.now + timeout
        while len(self._queue) >= self.room and not self._inbox and self.now < end:
            self.step(end - self.now)
        count = min(len(data), self.room - len(self._queue))
        if count > 1 and self._luck.random() < 0.1:
            count = self._luck.randint(1, count)  # a system may take less than it is given
        self._queue += data[:count]
        return count

    def read(self, timeout: float) -> bytes:
        end = self.now + timeout
        while not self._inbox and self.now < end:
            self.step(end - self.now)
        said = bytes(self._inbox)
        self._inbox.clear()
        if not said:
            self._still_stands()
        return said

    def pending(self) -> int:
        return len(self._queue)

    def finish(self, timeout: float) -> bool:
        end = self.now + timeout
        while self._queue and self.now < end:
            self.step(end - self.now)
        self._still_stands()
        done = not self._queue
        self.close()
        return done

    def close(self) -> None:
        self.is_closed = True
        self._queue.clear()

    def _still_stands(self) -> None:
        if self.machine.is_dropped:
            raise LinkError("the line was cut")

    def step(self, most: float) -> None:
        """Let a moment pass, or more where nothing can happen meanwhile."""
        quiet = not self._queue and self.machine.is_idle
        self.now += most if quiet else min(most, _QUANTUM)
        if self._queue and not self.machine.holds:
            self._credit += self.rate * _QUANTUM
            count = min(int(self._credit), len(self._queue))
            self._credit -= count
            part = bytes(self._queue[:count])
            del self._queue[:count]
            self.machine.take(part, self.now)
        else:
            self._credit = 0.0
        self.machine.run(self.now)
        self._inbox += self.machine.hear()

    def let_it_finish(self) -> None:
        """Let the machine work off what it has taken; nothing more comes."""
        for _ in range(2):  # longer than any stall; one may only begin now
            self.now += 1e10
            self.machine.run(self.now)
