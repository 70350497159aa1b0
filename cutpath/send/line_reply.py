"""Flow of small RS274 controllers: one reply a line, and as many bytes under way as they can keep.

By published interface documents of open controllers: a line is answered by "ok" or "error:n", in
order; "ok" says that it was taken, not that it was done. "<…>" (asked for by ?), "[…]" and
"ALARM:n" come in between and answer no line. The single bytes ? ! and 0x18 (state, stand still,
reset) are acted on at once, wherever they come, and are not answered by "ok".
"""

from __future__ import annotations

import re
from collections import deque
from dataclasses import dataclass, replace

from cutpath.send.flow import Flow
from cutpath.send.line_words import alarm, line_error, restarted
from cutpath.send.trouble import Trouble
from cutpath.settings.profile import Link

_STATE, _STAND, _RESET = b"?", b"!", b"\x18"
_BETWEEN = 0.2
"""Seconds between two questions for the state."""
_NUMBER = re.compile(r":\s*(\d+)")
_QUIET = 1.0
"""After so many seconds without a reply it is asked whether it is still there."""
_LONGEST = 400
_MOVING = ("run", "jog", "home", "hold:1")
_LOCKED = "alarm"


@dataclass(frozen=True, slots=True)
class _Line:
    first: int
    last: int
    text: bytes


class LineReply(Flow):
    """Counts the bytes of lines that are not answered yet against the machine's buffer."""

    answers = True

    def __init__(self, link: Link, start: int = 0) -> None:
        super().__init__(link, start)
        self.state = ""
        self.can_halt = link.status
        self.is_ready = False
        self.is_halting = False
        self._has_reset = False
        self._under_way: deque[_Line] = deque()
        self._room = link.buffer
        self._taken: deque[int] = deque([start] * link.ahead, link.ahead)
        self._text = b""
        self._begun = start
        self._part = b""
        self._owed = 0
        self._prepare = link.prepare
        self._is_greeted = not link.greeting
        self._asked_first: float | None = None
        self._heard_at = 0.0
        self._not_before = 0.0

    def opening(self) -> bytes:
        """Give nothing: lines are prepared once the machine has answered."""
        return b""

    def portion(self, coming: memoryview) -> int:
        """Give whole lines that fit, and always the rest of a line that has begun."""
        if not self.is_ready or self._owed or self._prepare:
            return 0
        data = bytes(coming[: self.link.buffer + 1])
        room = self._room
        granted = 0
        if self._part:
            granted = data.find(b"\n") + 1 or len(data)
            room -= granted
        while granted < len(data):
            end = data.find(b"\n", granted) + 1 or len(data)
            if end - granted > room:
                break
            room -= end - granted
            granted = end
        return granted

    def has_sent(self, data: memoryview, now: float) -> None:
        """Put whole lines on the list of what is to be answered."""
        if not self._part:
            self._begun = self.sent
        self.sent += len(data)
        self._room -= len(data)
        *whole, self._part = (self._part + bytes(data)).split(b"\n")
        for text in whole:
            last = self._begun + len(text) + 1
            self._under_way.append(_Line(self._begun, last, text))
            self._begun = last
        self._heard_at = now

    def left_port(self, pending: int, unseen: int) -> None:
        """Nothing: the machine itself says what it took."""

    def question(self, now: float) -> bytes:
        """Ask whether it is there, whether it still is, and at the end whether it stands."""
        if now < self._not_before or not self._has_started(now):
            return b""
        self._not_before = now + _BETWEEN
        if self.is_halting:
            return self._next_of_halt(now)
        if not self.is_ready:
            return self._first_question(now)
        if self._prepare:
            lines, self._prepare = self._prepare, ()
            self._owed = len(lines)
            return "".join(line + "\n" for line in lines).encode("ascii")
        is_quiet = bool(self._under_way) and now - self._heard_at > _QUIET
        if self.link.status and (is_quiet or (self.is_ending and not self.is_over)):
            return self._due(_STATE, now)
        return b""

    def _has_started(self, now: float) -> bool:
        """Wait for the greeting of a machine that opening the port restarts; not all do."""
        if self._asked_first is None:
            self._asked_first = now
        patience = self.link.connect_timeout / 2
        self._is_greeted = self._is_greeted or now - self._asked_first >= patience
        return self._is_greeted

    def _first_question(self, now: float) -> bytes:
        if self.link.status:
            return self._due(_STATE, now)
        if self._owed:
            return b""
        self._owed = 1
        return self._due(b"\n", now)

    def _next_of_halt(self, now: float) -> bytes:
        if self._has_reset or self.state.startswith(_MOVING) or not self.state:
            return self._due(_STATE, now)
        # It stands: now a reset forgets what is buffered and keeps the position.
        self._has_reset, self.state = True, ""
        self._forget()
        return _RESET

    def _due(self, question: bytes, now: float) -> bytes:
        if self.awaits_since is None:
            self.awaits_since = now
        return question

    def halt(self, now: float) -> bytes:
        """Make the machine stand; give the byte that does. Asking goes on until ``is_halted``."""
        self.is_halting, self._has_reset, self.state = True, False, ""
        self.fault, self.awaits_since = None, now
        self._not_before = now + _BETWEEN
        return _STAND

    def _forget(self) -> None:
        self._under_way.clear()
        self._room, self._part, self._owed = self.link.buffer, b"", 0

    @property
    def is_halted(self) -> bool:
        """Whether it stands, with nothing buffered."""
        return self._has_reset and bool(self.state)

    def go_on_after_halt(self) -> None:
        """Lines may be sent again."""
        self.is_halting, self.is_ready = False, True
        self._begun, self.awaits_since = self.sent, None

    def received(self, data: bytes, now: float) -> None:
        """Read line by line."""
        self._heard_at = now
        self._text += data
        while b"\n" in self._text and self.fault is None:
            line, _, self._text = self._text.partition(b"\n")
            self._read(line.strip().decode("latin-1"))
        if len(self._text) > _LONGEST:
            self._fail(restarted(self._text[:60].decode("latin-1")))

    def _read(self, said: str) -> None:
        low = said.lower()
        if not self._is_greeted:
            self._is_greeted = self.link.greeting in said
            return
        if not said or said.startswith("["):
            return
        if low == "ok" or low.startswith("error"):
            self._reply(said)
        elif said.startswith("<") and said.endswith(">"):
            self._take_state(low[1:-1].split("|")[0].split(",")[0])
        elif low.startswith("alarm"):
            self._fail(alarm(_number(said)), said)
        elif self.is_ready and not self.is_halting:
            self._fail(restarted(said), said)

    def _reply(self, said: str) -> None:
        if self.is_halting:
            return
        if self._owed:
            self._owed -= 1
            if said.lower() != "ok":
                self._fail(line_error(_number(said), "prepare"), said)
            elif not self.is_ready:
                self.is_ready, self.awaits_since = True, None
            return
        if not self._under_way:
            if self.is_ready:
                self.fail(
                    Trouble.NOISE,
                    f"the machine said '{said}', but no line was waiting for it",
                    "Look at the cable. Which lines it took is not known.",
                    said,
                )
            return
        line = self._under_way.popleft()
        if said.lower() != "ok":
            self._fail(line_error(_number(said), line.text.decode("latin-1").strip()), said)
            if self.fault is not None:
                self.fault = replace(self.fault, first=line.first, last=line.last)
            return
        self._room += line.last - line.first
        self.confirmed = line.last
        self.done = max(self.done, self._taken[0])
        self._taken.append(line.last)

    def _take_state(self, state: str) -> None:
        self.state, self.awaits_since = state, None
        self.standing = "it was made to stand" if state.startswith(("hold", "door")) else ""
        if state.startswith(_LOCKED) and not self.is_halting:
            self._fail(alarm(None))
        elif not self.is_ready and state.startswith("idle"):
            self.is_ready = True
        if self.is_ending and state.startswith("idle") and not self._under_way:
            self.done = self.sent

    def _fail(self, told: tuple[Trouble, str, str], said: str = "") -> None:
        self.fail(*told, said)

    @property
    def is_over(self) -> bool:
        """Whether every line is answered and the machine stands."""
        if self._under_way or self._part:
            return False
        return not self.link.status or self.done >= self.sent


def _number(said: str) -> int | None:
    match = _NUMBER.search(said)
    return int(match[1]) if match else None
