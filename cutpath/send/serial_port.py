"""The way through a serial port."""

from __future__ import annotations

import errno
import os
import select
import time

import serial

from cutpath.errors import Source
from cutpath.send.channel import LinkError
from cutpath.settings.profile import Flow, Link

_PARITY = {"none": serial.PARITY_NONE, "even": serial.PARITY_EVEN, "odd": serial.PARITY_ODD}
_AHEAD = 0.05
"""Seconds of bytes that may wait in the system's queue: it cannot be called back on Xoff."""
_LEAST_AHEAD = 64
_STEP = 0.002
_PART = 4_096


class SerialChannel:
    """An exclusive port. Hardware flow is the port's own: the machine's ready line leads to CTS.

    Xon/Xoff is watched by the port's driver too, which is quicker than any program.
    """

    is_whole = False

    def __init__(self, link: Link) -> None:
        self.place = Source(file=link.port)
        self._ahead = max(_LEAST_AHEAD, int(link.baud / 10 * _AHEAD))
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
            while (room := self._ahead - self._port.out_waiting) <= 0:
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
            return int(self._port.write(bytes(data[:room])) or 0)
        except (OSError, serial.SerialException) as error:
            raise self._broken(error) from error

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
        except (OSError, serial.SerialException, TypeError) as error:
            raise self._broken(error) from error

    def pending(self) -> int:
        """Give the bytes in the system's queue."""
        try:
            return int(self._port.out_waiting)
        except (OSError, serial.SerialException) as error:
            raise self._broken(error) from error

    def finish(self, timeout: float) -> bool:
        """Let the queue run out, then close."""
        end = time.monotonic() + timeout
        try:
            while self.pending() and time.monotonic() < end:
                time.sleep(_STEP)
            return not self.pending()
        finally:
            self.close()

    def close(self) -> None:
        """Drop what is queued and let go of the port."""
        if self._port.is_open:
            try:
                self._port.reset_output_buffer()
                self._port.close()
            except (OSError, serial.SerialException):
                pass  # a port that was pulled out

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
