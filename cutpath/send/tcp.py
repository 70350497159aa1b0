"""The way through a raw TCP socket, as network plotters and serial device servers offer it."""

from __future__ import annotations

import errno
import os
import select
import socket
import struct
import sys
import time
from contextlib import suppress

from cutpath.errors import Source
from cutpath.send.channel import LinkError
from cutpath.send.sole_user import taken_alone

_PROBES = 3
_PART = 65_536
_QUEUE = 131_072
"""Bytes that may wait on this side: what is queued cannot be called back on a pause."""
_OPEN_STATES = {1, 4, 5, 8}
"""Of TCP (RFC 9293) as Linux numbers them: established, both kinds of FIN wait, close wait."""
_OUTQ = 0x5411
"""SIOCOUTQ of Linux: bytes that the other side has not acknowledged yet."""


class TcpChannel:
    """One connection; it is never opened a second time by itself.

    Bytes that were under way when a connection broke may or may not have arrived: only the operator
    can see, so a broken connection ends the job.
    """

    is_whole = False
    unseen = 131_072
    """What the other system takes before its program reads it."""

    def __init__(self, host: str, port: int, connect_timeout: float, keep_alive: float) -> None:
        self.place = Source(file=f"{host}:{port}")
        self._lock = taken_alone(f"{host}:{port}")
        try:
            self._socket = socket.create_connection((host, port), connect_timeout)
        except OSError as error:
            self._lock.release()
            raise LinkError(
                f"the machine does not answer: {_words(error)}",
                self.place,
                "Nothing was sent. Is it switched on and on the network? "
                "Otherwise mend address in the profile's [link].",
            ) from error
        self._socket.setblocking(False)
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _QUEUE)
        _keep_alive(self._socket, max(1, round(keep_alive)))
        self._is_open = True

    def write(self, data: bytes | memoryview, timeout: float) -> int:
        """Hand bytes to the system; it sends them as the machine takes them."""
        try:
            return self._socket.send(data)
        except BlockingIOError:
            pass
        except OSError as error:
            raise self._broken(error) from error
        try:
            # Readable too: what the machine says must not wait until it takes more.
            _, writable, _ = select.select([self._socket], [self._socket], [], timeout)
            return self._socket.send(data) if writable else 0
        except BlockingIOError:
            return 0
        except OSError as error:
            raise self._broken(error) from error

    def read(self, timeout: float) -> bytes:
        """Give what came."""
        try:
            if timeout > 0:
                select.select([self._socket], [], [], timeout)
            data = self._socket.recv(_PART)
        except BlockingIOError:
            return b""
        except OSError as error:
            raise self._broken(error) from error
        if not data:
            raise LinkError(
                "the machine closed the connection",
                self.place,
                "Look at the machine before anything else is sent.",
            )
        return data

    def pending(self) -> int:
        """Give the bytes that the other side has not acknowledged, where the system tells.

        Raises LinkError for a connection that broke: its queue is thrown away, and an empty one
        would look as if all had arrived.
        """
        if sys.platform != "linux":
            return 0
        import fcntl  # noqa: PLC0415 (not on every system)

        try:
            waiting = int(struct.unpack("i", fcntl.ioctl(self._socket, _OUTQ, b"\0\0\0\0"))[0])
            info = self._socket.getsockopt(socket.IPPROTO_TCP, socket.TCP_INFO, 1)
            error = self._socket.getsockopt(socket.SOL_SOCKET, socket.SO_ERROR)
        except OSError as failure:
            raise self._broken(failure) from failure
        if info[0] not in _OPEN_STATES:
            raise self._broken(OSError(error, os.strerror(error or errno.ECONNRESET)))
        return waiting

    def finish(self, timeout: float) -> bool:
        """Say that nothing more comes, and wait for the machine to close after the last byte."""
        end = time.monotonic() + timeout
        try:
            self._socket.shutdown(socket.SHUT_WR)
            while (left := end - time.monotonic()) > 0:
                select.select([self._socket], [], [], left)
                with suppress(BlockingIOError):
                    if not self._socket.recv(_PART):
                        return True
        except OSError as error:
            raise self._broken(error) from error
        else:
            return False
        finally:
            self.close()

    def close(self) -> None:
        """Close the connection."""
        if self._is_open:
            self._is_open = False
            self._socket.close()
            self._lock.release()

    def _broken(self, error: OSError) -> LinkError:
        return LinkError(
            f"the connection broke: {_words(error)}",
            self.place,
            "Look at the machine before anything else is sent.",
        )


def _keep_alive(link: socket.socket, seconds: int) -> None:
    """Let the system notice a machine that was switched off or unplugged."""
    link.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
    options = {"TCP_KEEPIDLE": seconds, "TCP_KEEPINTVL": seconds, "TCP_KEEPCNT": _PROBES}
    if sys.platform == "darwin":
        options["TCP_KEEPALIVE"] = seconds
    for name, value in options.items():
        if hasattr(socket, name):
            link.setsockopt(socket.IPPROTO_TCP, getattr(socket, name), value)


def _words(error: OSError) -> str:
    if isinstance(error, TimeoutError):
        return "no answer in time"
    return error.strerror or str(error)
