"""The way through a serial port."""

from __future__ import annotations

import errno
import os
import select
import time
from contextlib import suppress

import serial

from cutpath.errors import Source
from cutpath.send.channel import LinkError
from cutpath.settings.profile import Flow, Link

_PARITY = {"none": serial.PARITY_NONE, "even": serial.PARITY_EVEN, "odd": serial.PARITY_ODD}
_AHEAD = 0.05
"""Seconds of bytes that may wait in the system's queue: it cannot be called back on Xoff."""
_LEAST_AHEAD = 64
_STEP = 0.002
_BROKEN: tuple[type[Exception], ...] = (OSError, serial.SerialException, TypeError)
if os.name == "posix":
    import termios

    _BROKEN = (*_BROKEN, termios.error)  # which is no OSError
_PART = 4_096


class SerialChannel:
    """An exclusive port. Hardware flow is the port's own: the machine's ready line leads to CTS.

    Xon/Xoff is watched by the port's driver too, which is quicker than any program.
    """

    is_whole = False
    unseen = 4_096
    """Queues of adapters between port and machine."""

    def __init__(self, link: Link) -> None:
        self.place = Source(file=link.port)
        self._rate = link.baud / (1 + link.bits + (link.parity != "none") + link.stop_bits)
        self._ahead = max(_LEAST_AHEAD, int(self._rate * _AHEAD))
        self._credit, self._paced = float(self._ahead), time.monotonic()
        try:
            # The lines are set before the port opens: some controllers restart when they change.
            self._port = serial.Serial(
                port=None,
                baudrate=link.baud,
                bytesize=link.bits,
                parity=_PARITY[link.parity],
                stopbits=link.stop_bits,
                timeout=0,
                write_timeout=0,
                xonxoff=link.flow is Flow.XON_XOFF,
                rtscts=link.flow is Flow.HARDWARE,
                exclusive=True if os.name == "posix" else None,
            )
            self._port.port = link.port
            self._port.open()
        except (OSError, ValueError) as error:
            raise LinkError(
                f"the serial port does not open: {_words(error)}",
                self.place,
                _remedy(error),
            ) from error

    def write(self, data: bytes | memoryview, timeout: float) -> int:
        """Queue bytes, but never more than a twentieth of a second of them."""
        end = time.monotonic() + timeout
        try:
            while (room := self._room()) <= 0:
                if time.monotonic() >= end:
                    return 0
                if self._port.in_waiting:
                    return 0  # what the machine says must not wait
                time.sleep(_STEP)
            if os.name == "posix":
                left = max(0.0, end - time.monotonic())
                file = self._port.fileno()
                if not select.select([file], [file], [], left)[1]:
                    return 0
            written = int(self._port.write(bytes(data[:room])) or 0)
            self._credit -= written
        except _BROKEN as error:
            raise self._broken(error) from error
        return written

    def _room(self) -> int:
        """Give how much may be queued: adapters do not tell their queues, but no line is faster."""
        now = time.monotonic()
        self._credit = min(self._ahead, self._credit + (now - self._paced) * self._rate)
        self._paced = now
        return min(self._ahead - self._port.out_waiting, int(self._credit))

    def read(self, timeout: float) -> bytes:
        """Give what came."""
        try:
            waiting = self._port.in_waiting
            if not waiting and timeout > 0:
                self._port.timeout = timeout
                first = bytes(self._port.read(1))
                self._port.timeout = 0
                return first + bytes(self._port.read(_PART)) if first else b""
            return bytes(self._port.read(min(waiting, _PART))) if waiting else b""
        except _BROKEN as error:
            raise self._broken(error) from error

    def pending(self) -> int:
        """Give the bytes in the system's queue."""
        try:
            return int(self._port.out_waiting)
        except _BROKEN as error:
            raise self._broken(error) from error

    def finish(self, timeout: float) -> bool:
        """Let the queue run out, of what adapters do not tell too, then close."""
        end = time.monotonic() + timeout
        try:
            while (self.pending() or self._room() < self._ahead) and time.monotonic() < end:
                time.sleep(_STEP)
            done = not self.pending()
            if done:
                with suppress(*_BROKEN):
                    self._port.close()  # nothing is dropped: a driver may still have some
        finally:
            self.close()
        return done

    def close(self) -> None:
        """Drop what is queued and let go of the port."""
        if self._port.is_open:
            with suppress(*_BROKEN):  # a port that was pulled out
                self._port.reset_output_buffer()
            with suppress(*_BROKEN):
                self._port.close()

    def _broken(self, error: Exception) -> LinkError:
        return LinkError(
            f"the serial port broke: {_words(error)}",
            self.place,
            "Look at the cable and at the machine before anything else is sent.",
        )


def _words(error: Exception) -> str:
    code = getattr(error, "errno", None)
    return os.strerror(code) if isinstance(code, int) else str(error) or type(error).__name__


def _remedy(error: Exception) -> str:
    code = getattr(error, "errno", None)
    if code == errno.EACCES:
        return "Your user may not open it; on Linux the group dialout often must be joined."
    if code in {errno.EAGAIN, errno.EBUSY} or "lock" in str(error):
        return "Another program holds it. Close that first."
    return "Nothing was sent. Is the cable in? Otherwise mend port in the profile's [link]."
