"""One look at the queue for all who watch, and what they are sent of it (server-sent events).

Nobody watching, nothing is looked at. What a slow listener has not taken yet is replaced by what is
newer: all that is told is whole, so nothing is lost by it and nothing piles up.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import time
from collections.abc import AsyncIterator, Callable
from typing import Any

import anyio

from cutpath.desk.telling import Teller
from cutpath.errors import CutpathError
from cutpath.send.queue.values import Doing, Lane

_LOOK_S = 0.5
_ANYHOW_S = 3.0
"""A sender that dies changes nothing in the queue; its lock tells, when somebody tries it."""
_CALM_S = 1.0
"""Between two whole looks at the queue: a sender at work changes it many times a second."""
_BEAT_S = 10.0
_MOST_LISTENERS = 100


class BusyError(Exception):
    """There are too many listeners."""


class _Listener:
    def __init__(self) -> None:
        self.waiting: dict[str, bytes] = {}
        self.awake = asyncio.Event()

    def tell(self, kind: str, frame: bytes) -> None:
        self.waiting[kind] = frame
        self.awake.set()


class Live:
    """Looks at the queue as long as somebody listens. ``faults`` gives words about senders."""

    def __init__(self, teller: Teller, faults: Callable[[], dict[str, str]]) -> None:
        self._teller = teller
        self._faults = faults
        self._listeners: set[_Listener] = set()
        self._look: asyncio.Task[None] | None = None
        self._hurry = asyncio.Event()
        self._last: dict[str, bytes] = {}
        self._is_over = False

    def hurry(self) -> None:
        """Look at once: something was just changed."""
        self._hurry.set()

    async def listen(self) -> AsyncIterator[bytes]:
        """Give the events for one listener, the whole state first. Raises BusyError beyond 100."""
        if len(self._listeners) >= _MOST_LISTENERS:
            raise BusyError
        listener = _Listener()
        listener.waiting.update(self._last)
        listener.awake.set()
        self._listeners.add(listener)
        if self._look is None or self._look.done():
            self._look = asyncio.create_task(self._looking())
        self.hurry()
        yield b"retry: 1500\n\n"
        try:
            while not self._is_over:
                try:
                    async with asyncio.timeout(_BEAT_S):
                        await listener.awake.wait()
                except TimeoutError:
                    yield b"event: beat\ndata: \n\n"
                    continue
                listener.awake.clear()
                frames, listener.waiting = listener.waiting, {}
                for frame in frames.values():
                    yield frame
        finally:
            self._listeners.discard(listener)

    async def close(self) -> None:
        """Send all listeners away."""
        self._is_over = True
        for listener in self._listeners:
            listener.awake.set()
        if self._look is not None:
            self._look.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await self._look

    async def _looking(self) -> None:
        seen, looked = -1, 0.0
        lanes: tuple[Lane, ...] = ()
        self._last.clear()
        while self._listeners:
            is_asked = self._hurry.is_set()
            self._hurry.clear()
            now = time.monotonic()
            try:
                changes = await anyio.to_thread.run_sync(self._teller.queue.changes)
                is_due = changes != seen and now - looked >= _CALM_S
                if is_asked or is_due or now - looked >= _ANYHOW_S:
                    seen, looked = changes, now
                    told, lanes = await anyio.to_thread.run_sync(self._whole)
                    self._tell("state", told)
                at_work = [each for each in lanes if each.doing in {Doing.SENDING, Doing.PAUSED}]
                told = await anyio.to_thread.run_sync(self._teller.progress, at_work)
                self._tell("progress", told)
            except CutpathError as error:
                self._tell("trouble", {"error": error.message, "remedy": error.remedy})
            except Exception as error:  # one look that fails must not blind the desk
                self._tell("trouble", {"error": f"the queue cannot be read ({error})"})
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(_LOOK_S):
                    await self._hurry.wait()

    def _whole(self) -> tuple[dict[str, Any], tuple[Lane, ...]]:
        self._teller.queue.recover()
        lanes = self._teller.queue.lanes()
        return self._teller.state(lanes, self._faults()), lanes

    def _tell(self, kind: str, what: dict[str, Any]) -> None:
        data = json.dumps(what, ensure_ascii=False, separators=(",", ":"))
        frame = f"event: {kind}\ndata: {data}\n\n".encode()
        if self._last.get(kind) == frame:
            return
        self._last[kind] = frame
        if kind == "trouble":
            self._last = {kind: frame}  # what is well again is told again
        else:
            self._last.pop("trouble", None)
        for listener in self._listeners:
            listener.tell(kind, frame)
