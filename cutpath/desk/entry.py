"""Who may see the desk: a code for one device at a time, and a session for each device.

In the workshop's network a device shows the code that stands on the terminal; each code lets one
device in. Wrong codes cost waiting, for all at once, so that guessing from many places is no
quicker than from one: five a minute, and a new code after five. Eight digits at that rate take
decades.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections import OrderedDict, deque
from collections.abc import Callable
from enum import Enum

_DIGITS = 8
_WRONG_A_MINUTE = 5
_MOST_SESSIONS = 64


class Answer(Enum):
    """What became of a code that was shown."""

    RIGHT = "right"
    WRONG = "wrong"
    WAIT = "wait"


class OneTimeCode:
    """The code on the terminal. ``show`` is told each new one; ``clock`` gives seconds."""

    def __init__(
        self, show: Callable[[str], None], clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._show = show
        self._clock = clock
        self._wrong: deque[float] = deque()
        self._code = ""
        self._missed = 0

    def renew(self) -> None:
        """Make a new code; the old one is worth nothing any more."""
        self._code = f"{secrets.randbelow(10**_DIGITS):0{_DIGITS}d}"
        self._missed = 0
        self._show(f"{self._code[:4]} {self._code[4:]}")

    def tried(self, said: str) -> Answer:
        """Judge a code that somebody typed; blanks in it do not matter."""
        now = self._clock()
        while self._wrong and now - self._wrong[0] >= 60:
            self._wrong.popleft()
        if len(self._wrong) >= _WRONG_A_MINUTE:
            return Answer.WAIT
        digits = "".join(said[:64].split())
        if hmac.compare_digest(digits.encode(), self._code.encode()):
            self.renew()
            return Answer.RIGHT
        self._wrong.append(now)
        self._missed += 1
        if self._missed >= _WRONG_A_MINUTE:
            self.renew()
        return Answer.WRONG


class Sessions:
    """The devices that were let in, as long as the desk runs; the oldest goes when there are many.

    A session's token proves that a request comes from our own page: it cannot be had elsewhere.
    """

    def __init__(self) -> None:
        self._secret = secrets.token_bytes(32)
        self._known: OrderedDict[str, None] = OrderedDict()

    def begin(self) -> str:
        """Give a new session's name, for its cookie."""
        session = secrets.token_urlsafe(32)
        self._known[_digest(session)] = None
        if len(self._known) > _MOST_SESSIONS:
            self._known.popitem(last=False)
        return session

    def is_known(self, session: str) -> bool:
        """Tell whether the device was let in. Only digests are compared: timing tells nothing."""
        return _digest(session) in self._known

    def token(self, session: str) -> str:
        """Give what our page of this session says with each change."""
        return hmac.new(self._secret, session.encode(), hashlib.sha256).hexdigest()

    def is_token(self, session: str, said: str) -> bool:
        """Judge a token, in a time that does not depend on it."""
        return hmac.compare_digest(self.token(session).encode(), said.encode())


def _digest(session: str) -> str:
    return hashlib.sha256(session.encode()).hexdigest()
