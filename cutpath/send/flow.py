"""Flow control without input or output: what may leave now, what must be asked, what came back.

A flow counts the job's bytes: ``sent`` left this program, ``confirmed`` were taken by the machine,
``done`` were certainly worked off. Between ``done`` and ``sent`` lies what is in doubt when a job
breaks. Times are seconds of any clock that only goes forward.

By HP, "7470A Graphics Plotter Interfacing and Programming Manual" (hardware, Xon/Xoff, enquire and
acknowledge, buffer-space query).
"""

from __future__ import annotations

from cutpath.send.trouble import MachineFault, Trouble
from cutpath.settings.profile import Link

XON, XOFF = b"\x11", b"\x13"
_HEARD = 200


class Flow:
    """The plain way: bytes leave as the link takes them, and nothing is known of the machine.

    Also hardware flow: the port's own lines hold the bytes back.
    """

    answers = False
    """Whether ``confirmed`` is what the machine itself said."""
    can_halt = False
    """Whether the machine can be made to stand at once."""
    is_ready = True
    """Whether the machine was found ready for the first byte."""

    def __init__(self, link: Link, start: int = 0) -> None:
        self.link = link
        self.sent = self.confirmed = self.done = start
        self.fault: MachineFault | None = None
        self.heard = b""
        self.awaits_since: float | None = None
        """Since when an answer is due; None while none is."""
        self.standing = ""
        """Why the machine stands, by its own words: patience with it has no end."""
        self.is_ending = False
        self.is_opened = False

    def opening(self) -> bytes:
        """Give what is sent before the job's first byte."""
        return "".join(line.replace("ESC", "\x1b") for line in self.link.prepare).encode("ascii")

    def portion(self, coming: memoryview) -> int:
        """Give how many of the ``coming`` bytes of the job may leave now."""
        return len(coming)

    def has_sent(self, data: memoryview, now: float) -> None:
        """Take note that ``data`` left."""
        self.sent += len(data)

    def left_port(self, pending: int, unseen: int) -> None:
        """Take note of what is not there yet: ``pending`` bytes here, ``unseen`` on the way."""
        self.confirmed = max(self.confirmed, self.sent - pending)
        self.done = max(self.done, self.confirmed - unseen - self.link.buffer)

    def question(self, now: float) -> bytes:
        """Give what must be asked now, or nothing; the caller sends all of it."""
        return b""

    def received(self, data: bytes, now: float) -> None:
        """Take note of what the machine said."""
        if XOFF in data:
            self.fail(
                Trouble.OVERRUN,
                "the machine asks for patience (Xoff), but its profile says it never does",
                'Write flow = "xon-xoff" in [link]. Bytes may be lost: look at what was cut.',
            )
        self.heard = (self.heard + data)[-_HEARD:]

    def end(self, now: float) -> None:
        """Everything was sent: from now on ask until the machine has done it."""
        self.is_ending = True

    def resume(self) -> None:
        """More is to be sent after an end."""
        self.is_ending = False

    def halt(self, now: float) -> bytes:
        """Give the byte that makes the machine stand. Raises ValueError where none can."""
        raise ValueError("this flow cannot make a machine stand")

    @property
    def is_halted(self) -> bool:
        """Whether the machine stands after ``halt``, with nothing buffered."""
        return False

    def go_on_after_halt(self) -> None:
        """More may be sent."""

    @property
    def is_over(self) -> bool:
        """Whether, after ``end``, nothing more is to be learned from the machine."""
        return self.confirmed >= self.sent

    @property
    def knows_done(self) -> bool:
        """Whether the machine itself said that all is done."""
        return self.done >= self.sent

    def unanswered(self) -> None:
        """Nothing came in time to what was asked."""
        self.fail(
            Trouble.SILENT,
            "the machine does not answer",
            "Is it switched on, connected, and set to this flow control?",
        )

    def fail(self, trouble: Trouble, words: str, remedy: str, said: str = "") -> None:
        """Keep the first fault."""
        if self.fault is None:
            self.fault = MachineFault(trouble, words, remedy, said, self.done, self.sent)


class XonXoff(Flow):
    """The machine says when to wait (Xoff) and when to go on (Xon)."""

    def __init__(self, link: Link, start: int = 0) -> None:
        super().__init__(link, start)
        self.is_held = False

    def portion(self, coming: memoryview) -> int:
        """Give nothing while held, else a block: a machine says Xoff with room for so much."""
        return 0 if self.is_held else min(len(coming), self.link.block)

    def received(self, data: bytes, now: float) -> None:
        """Obey the last of the signs."""
        for sign in data:
            if sign == XOFF[0]:
                self.is_held = True
            elif sign == XON[0]:
                self.is_held = False
            elif sign >= 127 or (sign < 32 and sign not in b"\r\n\x03"):
                self.fail(
                    Trouble.NOISE,
                    f"what the machine said is no sign it knows (byte {sign})",
                    "Look at the cable, and that baud, bits and parity are the machine's.",
                )
        self.heard = (self.heard + data)[-_HEARD:]


class Enquire(Flow):
    """Before each block the machine is asked for room, and acknowledges when it has it.

    The question goes the same way as the bytes before it, so its answer confirms them.
    """

    answers = True

    def __init__(self, link: Link, start: int = 0) -> None:
        super().__init__(link, start)
        self.granted = 0
        self.is_sure = False
        self._at_asking = start

    def portion(self, coming: memoryview) -> int:
        """Give what is left of the block."""
        return min(len(coming), self.granted)

    def has_sent(self, data: memoryview, now: float) -> None:
        """Take it off the block."""
        self.sent += len(data)
        self.granted -= len(data)

    def left_port(self, pending: int, unseen: int) -> None:
        """Nothing: the machine itself says what it took."""

    def question(self, now: float) -> bytes:
        """Ask for the next block while half of this one is left, and once more at the end."""
        is_low = self.granted <= self.link.block // 2
        wanted = not self.is_sure if self.is_ending else is_low
        if self.awaits_since is not None or not wanted:
            return b""
        self.awaits_since = now
        self._at_asking = self.sent
        return bytes([self.link.enquiry])

    def received(self, data: bytes, now: float) -> None:
        """Take one grant for one question; anything else is noise."""
        if self.awaits_since is None or data != bytes([self.link.acknowledge]):
            self.fail(
                Trouble.NOISE,
                f"the machine said {shown(data)}, which is no answer to what it was asked",
                "Look at the cable and the settings of the port; "
                "enquiry, acknowledge and block must be the machine's.",
            )
            return
        self.awaits_since = None
        # There was room for a block when the question came in: what was sent since takes of it.
        self.confirmed = self._at_asking
        self.done = max(self.done, self.confirmed - (self.link.buffer - self.link.block))
        self.granted = self.link.block - (self.sent - self._at_asking)
        self.is_sure = self.is_ending and self.confirmed == self.sent

    def resume(self) -> None:
        """Ask anew."""
        super().resume()
        self.is_sure = False

    @property
    def is_over(self) -> bool:
        """Whether the last bytes are acknowledged."""
        return self.is_sure


def shown(data: bytes) -> str:
    """Give ``data`` as it can be told to people."""
    return repr(data[:20].decode("latin-1"))
