"""A way to a machine, and the error of a way that fails."""

from __future__ import annotations

from typing import Protocol

from cutpath.errors import MachineError


class LinkError(MachineError):
    """The way to the machine does not open, or broke."""


class Channel(Protocol):
    """Thin input and output; who waits for what is the flow's matter.

    Every method raises LinkError once the link is broken.
    """

    @property
    def is_whole(self) -> bool:
        """Whether nothing reaches the machine before ``finish``."""

    @property
    def unseen(self) -> int:
        """How many bytes may be on the way, beyond ``pending``, that nobody here can see."""

    def write(self, data: bytes | memoryview, timeout: float) -> int:
        """Give how many of the first bytes were taken; 0 when none were within ``timeout`` s."""

    def read(self, timeout: float) -> bytes:
        """Give what came, as soon as anything did; nothing when nothing came in ``timeout`` s."""

    def pending(self) -> int:
        """Give how many bytes of those written are known to be still on this side."""

    def finish(self, timeout: float) -> bool:
        """Hand all over, then close; tell whether the other side is known to have it all."""

    def close(self) -> None:
        """Let go of the link; what waits on this side may be lost. May be called twice."""
