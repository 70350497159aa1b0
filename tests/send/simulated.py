"""Machines that are not there: they take bytes, obey them at their pace, answer, and have faults.

Nothing here waits or touches a device: time is told by whoever drives them, so that one object
serves virtual time (``virtual_link``) and real pseudo-terminals and sockets (``served``). Behaviour
by HP, "7470A Graphics Plotter Interfacing and Programming Manual" (ESC.B, ESC.E, ESC.O, OE, enquire
and acknowledge, Xon/Xoff), and by published interface documents of small RS274 controllers.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

FOREVER = 1e9


@dataclass(frozen=True)
class Spec:
    """What kind of machine it is: seconds a piece of work, bytes of buffer, its flow."""

    flow: str = "plain"
    buffer: int = 1024
    block: int = 80
    pace: float = 0.002
    """Seconds an instruction, or a byte where ``by_byte``."""
    by_byte: bool = False
    ahead: int = 8
    xoff_room: int = 256
    state_answers: bool = True


@dataclass(frozen=True)
class Faults:
    """What goes wrong, and when: counted in bytes taken, or in instructions obeyed."""

    drop_at: int | None = None
    stall_at: int | None = None
    stall_for: float = FOREVER
    garbage_at: int | None = None
    garbage: bytes = b""
    error_at: int | None = None
    error: int = 20
    reset_at: int | None = None
    storms: tuple[int, ...] = ()
    mute_at: int | None = None


@dataclass
class Machine:
    """A machine: ``obeyed`` is what it did, instruction by instruction, in order."""

    spec: Spec
    faults: Faults = field(default_factory=Faults)

    def __post_init__(self) -> None:
        self.obeyed: list[bytes] = []
        self.refused: bytes = b""
        self.taken = 0
        self.overrun = 0
        self.is_dropped = False
        self.is_muted = False
        self.busy_until = 0.0
        self.busy_time = 0.0
        self.starved_time = 0.0
        self.now = 0.0
        self._buffer = bytearray()
        self._voice = bytearray()
        self._storms = set(self.faults.storms)
        self._stalled_until: float | None = None
        self._did_stall = self._did_garbage = self._did_reset = False
        self._start()

    def _start(self) -> None:
        """Set up what this kind of machine has beside its buffer."""

    # What the line brings and takes away.

    def take(self, data: bytes, now: float) -> None:
        """Take bytes off the line."""
        for byte in data:
            if self.is_dropped:
                return
            self._byte(byte, now)
            self.taken += 1
            self._faults_of_bytes()

    def _byte(self, byte: int, now: float) -> None:
        raise NotImplementedError

    def say(self, words: bytes) -> None:
        if not self.is_muted:
            self._voice += words

    def hear(self) -> bytes:
        """Give what it says since last asked."""
        said = bytes(self._voice)
        self._voice.clear()
        return said

    @property
    def free(self) -> int:
        return self.spec.buffer - len(self._buffer)

    @property
    def holds(self) -> bool:
        """Whether its ready line, or a plain link's own window, holds the other side back."""
        return self.spec.flow in {"hardware", "plain"} and self.free <= self.spec.xoff_room

    def keep(self, byte: int) -> None:
        if self.free <= 0:
            self.overrun += 1
            return
        self._buffer.append(byte)

    def _faults_of_bytes(self) -> None:
        plan, at = self.faults, self.taken
        if plan.drop_at is not None and at >= plan.drop_at:
            self.is_dropped = True
        if plan.mute_at is not None and at >= plan.mute_at:
            self.is_muted = True
        if plan.garbage_at is not None and at >= plan.garbage_at and not self._did_garbage:
            self._did_garbage = True
            self.say(plan.garbage)
        if plan.reset_at is not None and at >= plan.reset_at and not self._did_reset:
            self._did_reset = True
            self.restart()
        if at in self._storms:
            self.say(b"\x13\x11\x13\x13\x11")
            if getattr(self, "is_xoff", False):
                self.say(b"\x13")

    def restart(self) -> None:
        """Lose everything, as at power-up."""
        self._buffer.clear()
        self.is_dropped = True

    # Work.

    def run(self, now: float) -> None:
        """Work on until ``now``."""
        self.now = now
        while self._stands(now) is False:
            begun = max(self.busy_until, self._ready_at())
            work = self._next_work()
            if work is None:
                return
            seconds = self.spec.pace * (len(work) if self.spec.by_byte else 1)
            if begun + seconds > now:
                return
            self.starved_time += begun - self.busy_until if self.obeyed else 0.0
            self.busy_until = begun + seconds
            self.busy_time += seconds
            self._do(work, self.busy_until)

    def _ready_at(self) -> float:
        return self._since

    _since = 0.0

    def _stands(self, now: float) -> bool:
        if self.faults.stall_at is None or len(self.obeyed) < self.faults.stall_at:
            return False
        if not self._did_stall:
            self._did_stall = True
            self._stalled_until = now + self.faults.stall_for
            self._since = self._stalled_until
        return self._stalled_until is not None and now < self._stalled_until

    def _next_work(self) -> bytes | None:
        raise NotImplementedError

    def _do(self, work: bytes, now: float) -> None:
        raise NotImplementedError

    @property
    def is_idle(self) -> bool:
        return self._next_work() is None


class Plotter(Machine):
    """Speaks HP-GL: instructions end in a semicolon; device control comes in between."""

    def _start(self) -> None:
        self.is_xoff = False
        self.plot_error = self.link_error = 0
        self._escape = b""
        self._asked = 0
        self._oe = 0

    def _byte(self, byte: int, now: float) -> None:
        if self._escape or byte == 0x1B:
            self._escape += bytes([byte])
            if len(self._escape) == 3:
                self._control(self._escape)
                self._escape = b""
            return
        if self.spec.flow == "enquire" and byte == 5:
            self._asked += 1
            self._grant()
            return
        before = self.overrun
        if not self._buffer:
            self._since = max(self._since, now)
        self.keep(byte)
        if self.overrun > before:
            self.link_error = 16
        if self.spec.flow == "xon-xoff" and not self.is_xoff and self.free < self.spec.xoff_room:
            self.is_xoff = True
            self.say(b"\x13")

    def _control(self, words: bytes) -> None:
        state = 8 if not self._buffer else 0
        answers = {b"\x1b.B": self.free, b"\x1b.L": self.spec.buffer, b"\x1b.O": state}
        if words == b"\x1b.E":
            self.say(f"{self.link_error}\r".encode())
            self.link_error = 0
        elif words in answers:
            self.say(f"{answers[words]}\r".encode())

    def _grant(self) -> None:
        while self._asked and self.free >= self.spec.block:
            self._asked -= 1
            self.say(b"\x06")

    def _next_work(self) -> bytes | None:
        end = self._buffer.find(b";")
        return bytes(self._buffer[: end + 1]) if end >= 0 else None

    def _do(self, work: bytes, now: float) -> None:
        del self._buffer[: len(work)]
        if work.strip() == b"OE;":
            if self.spec.state_answers:
                self.say(f"{self.plot_error}\r".encode())
            self.plot_error = 0
        else:
            if len(self.obeyed) == self.faults.error_at:
                self.plot_error = self.faults.error
            self.obeyed.append(work)
        if self.is_xoff and self.free > self.spec.buffer * 3 // 4:
            self.is_xoff = False
            self.say(b"\x11")
        self._grant()


class Controller(Machine):
    """A small RS274 controller: a reply a line, real-time bytes, a planner behind its buffer."""

    def _start(self) -> None:
        self.state = "Idle"
        self._plan: deque[bytes] = deque()
        self._lines = 0
        self._standing_at = 0.0

    def _byte(self, byte: int, now: float) -> None:
        if byte == 0x3F:
            if self.spec.state_answers:
                self.say(f"<{self._told(now)}|MPos:0.000,0.000,0.000|FS:0,0>\r\n".encode())
        elif byte == 0x21:
            self.state, self._standing_at = "Hold", now + 0.05
        elif byte == 0x18:
            lost = self._told(now) in {"Run", "Hold:1"}
            self._buffer.clear()
            self._plan.clear()
            self.state = "Alarm" if lost else "Idle"
            self.say(b"\r\nReady, 1.0\r\n" + (b"ALARM:3\r\n" if lost else b""))
        else:
            if not self._plan:
                self._since = max(self._since, now)
            self.keep(byte)
            self._parse()

    def _told(self, now: float) -> str:
        if self.state == "Hold":
            return "Hold:1" if now < self._standing_at else "Hold:0"
        return "Run" if self.state == "Idle" and self._plan else self.state

    def _parse(self) -> None:
        """Move whole lines into the plan, while that has room, and answer them."""
        while len(self._plan) < self.spec.ahead and (end := self._buffer.find(b"\n")) >= 0:
            line = bytes(self._buffer[: end + 1])
            del self._buffer[: end + 1]
            if self.state == "Alarm":
                self.say(b"error:9\r\n")
            elif self._lines == self.faults.error_at:
                self.refused = line
                self.say(f"error:{self.faults.error}\r\n".encode())
            else:
                if line.strip():
                    self._plan.append(line)
                self.say(b"ok\r\n")
            self._lines += 1

    def _stands(self, now: float) -> bool:
        return self.state in {"Hold", "Alarm"} or super()._stands(now)

    def _next_work(self) -> bytes | None:
        return self._plan[0] if self._plan else None

    def _do(self, work: bytes, now: float) -> None:
        self._plan.popleft()
        self.obeyed.append(work)
        self._parse()

    def restart(self) -> None:
        self._buffer.clear()
        self._plan.clear()
        self.state = "Alarm"
        self.say(b"\r\nReady, 1.0\r\n")


def machine_of(spec: Spec, faults: Faults) -> Machine:
    return (Controller if spec.flow == "line reply" else Plotter)(spec, faults)
