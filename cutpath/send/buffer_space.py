"""Flow by asking a plotter how much room its buffer has.

HP, "7470A Graphics Plotter Interfacing and Programming Manual": ESC.B gives the free bytes as a
decimal number, closed by a carriage return; ESC.O the state; OE, an instruction of the language,
the error of instructions, once all those before it were obeyed. ESC.E, the error of the link, and
its numbers are from memory.
"""

from __future__ import annotations

from collections import deque
from dataclasses import replace

from cutpath.send.flow import Flow, shown
from cutpath.send.hpgl_words import device_error, device_state, plotting_error
from cutpath.send.trouble import Trouble
from cutpath.settings.profile import Link

_ROOM, _STATE, _LINK_ERROR, _PLOT_ERROR = b"\x1b.B", b"\x1b.O", b"\x1b.E", b"OE;"
_LONGEST = 12
_PATIENCE = 0.02
"""Seconds between two questions to a full machine."""
_CRUMBS = 8
"""Bytes that may stay in an empty buffer: the end of a line after the last instruction."""
_LOOKS = 16
"""In so many questions for room one is for errors, and one for whether it was paused."""


class BufferSpace(Flow):
    """The machine tells its free bytes; so many may leave, in blocks.

    What it took less what it still holds is done: the doubt after a fault is no more than its
    buffer.
    """

    answers = True

    def __init__(self, link: Link, start: int = 0) -> None:
        super().__init__(link, start)
        self.room = 0
        self.total = 0
        self._asked: deque[bytes] = deque()
        self._start = self._at_asking = start
        self._not_before = 0.0
        self._looks = 0
        self._text = b""
        self._is_empty = False
        self._is_obeyed = False

    def portion(self, coming: memoryview) -> int:
        """Give what there is room for; less than a block only when no more is coming."""
        room = min(self.room, len(coming))
        return room if room >= min(self.link.block, len(coming)) else 0

    def has_sent(self, data: memoryview, now: float) -> None:
        """Take it off the room."""
        self.sent += len(data)
        self.room -= len(data)

    def left_port(self, pending: int, unseen: int) -> None:
        """Nothing: the machine itself says what it took."""

    def question(self, now: float) -> bytes:
        """Ask for room; at the end until the buffer is empty, then for the errors."""
        if self._asked or now < self._not_before:
            return b""
        if self.is_ending:
            if self._is_obeyed:
                return b""
            asked = _PLOT_ERROR if self._is_empty else _ROOM
        else:
            if self.room >= max(self.link.block, self.total // 2):
                return b""
            asked = self._next_look()
        self._asked.append(asked)
        self._at_asking = self.sent
        self.awaits_since = now
        return asked

    def _next_look(self) -> bytes:
        self._looks += 1
        turn = self._looks % _LOOKS
        return {0: _LINK_ERROR, _LOOKS // 2: _STATE}.get(turn, _ROOM)

    def unanswered(self) -> None:
        """Many plotters do not answer OE: then its errors are not known, and that is all."""
        if self._asked and self._asked[0] == _PLOT_ERROR:
            self._asked.clear()
            self.awaits_since, self._is_obeyed = None, True
            return
        super().unanswered()

    def received(self, data: bytes, now: float) -> None:
        """Read the answers: decimal numbers, each closed by a carriage return."""
        self._text += data
        while b"\r" in self._text and self.fault is None:
            answer, _, self._text = self._text.partition(b"\r")
            self._answer(answer.strip(b"\n "), now)
        rest = self._text.strip(b"\n ")
        if rest and (not self._asked or len(rest) > _LONGEST or not rest.isdigit()):
            self._noise(rest)

    def _answer(self, answer: bytes, now: float) -> None:
        if not self._asked or not answer.isdigit() or len(answer) > _LONGEST:
            self._noise(answer)
            return
        asked, number = self._asked.popleft(), int(answer)
        self.awaits_since = None
        if asked == _ROOM:
            self._take_room(number, now)
            return
        if asked == _STATE:
            self.standing = device_state(number) if number & 48 else ""
            return
        error = device_error(number) if asked == _LINK_ERROR else plotting_error(number)
        if error is not None and self.fault is None:
            # The language's own error may stem from any instruction since the first.
            first = self.done if asked == _LINK_ERROR else self._start
            self.fault = replace(error, first=first, last=self.sent)
        if asked == _PLOT_ERROR:
            self._is_obeyed = True
            self.done = self.sent

    def _take_room(self, free: int, now: float) -> None:
        if self.total and free > self.total:
            self._noise(str(free).encode("ascii"))
            return
        # The first answer may come from a machine that still works on something else.
        self.total = self.total or max(free, self.link.buffer)
        self.confirmed = self._at_asking
        self.done = max(self.done, self.confirmed - (self.total - free))
        self.room = free - (self.sent - self._at_asking)
        self._is_empty = free >= self.total - _CRUMBS and self.confirmed == self.sent
        if self.room < max(self.link.block, self.total // 2) or self.is_ending:
            self._not_before = now + _PATIENCE

    def _noise(self, text: bytes) -> None:
        self.fail(
            Trouble.NOISE,
            f"the machine said {shown(text)}, which is no answer to what it was asked",
            "Look at the cable and the settings of the port; buffer must be the machine's.",
            shown(text),
        )

    def resume(self) -> None:
        """Ask anew."""
        super().resume()
        self._is_empty = self._is_obeyed = False

    @property
    def is_over(self) -> bool:
        """Whether every instruction was obeyed and its errors were told."""
        return self._is_obeyed
