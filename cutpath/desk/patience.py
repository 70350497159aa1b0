"""How long a line may keep the desk waiting, and how many lines one address may hold."""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol

PATIENCE_S = 5.0
_MOST_LINES = 32


class PatientProtocol(H11Protocol):
    """HTTP/1.1, but a request that is begun must be whole within 5 s, and so must the first one.

    Otherwise a few hundred lines on which nothing is said would keep everybody else out.
    """

    _timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take a new line, if its address has not too many."""
        super().connection_made(transport)
        address = _address(self)
        if sum(_address(each) == address for each in self.connections) > _MOST_LINES:
            transport.abort()
            return
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Take bytes; wait on for the rest of a request, but not anew."""
        super().data_received(data)
        if self._is_waiting():
            self._wait()
        else:
            self._wait_no_more()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the line."""
        self._wait_no_more()
        super().connection_lost(exc)

    def _is_waiting(self) -> bool:
        cycle = getattr(self, "cycle", None)  # before the first request there is none
        return cycle is None or bool(cycle.response_complete)

    def _wait(self) -> None:
        if self._timer is None:
            self._timer = self.loop.call_later(PATIENCE_S, self._too_slow)

    def _wait_no_more(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None

    def _too_slow(self) -> None:
        self._timer = None
        if self._is_waiting():
            self.transport.abort()


def _address(line: object) -> str:
    client = getattr(line, "client", None)
    return client[0] if client else ""
