"""The two clocks of sending: the wall's, for the journal, and one that only goes forward."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from pathlib import Path

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
_SAME_BOOT = 30.0
"""Seconds that two readings of one start of the system may differ by."""


class Clock:
    """The system's own; tests give another."""

    def now(self) -> str:
        """Give the time in UTC: 2026-03-01T09:30:00.250Z."""
        return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def monotonic(self) -> float:
        """Give seconds since some moment; they never go back."""
        return time.monotonic()

    def sleep(self, seconds: float) -> None:
        """Wait."""
        time.sleep(seconds)

    def boot(self) -> str:
        """Give what tells one start of the computer from another."""
        try:
            return _BOOT_ID.read_text(encoding="ascii").strip()
        except OSError:  # not on Linux
            return f"{time.time() - time.monotonic():.0f}"


def is_same_boot(one: str, other: str) -> bool:
    """Tell whether two answers of ``Clock.boot`` are surely of one start of the computer."""
    if not one or not other:
        return False
    try:
        return abs(float(one) - float(other)) < _SAME_BOOT
    except ValueError:
        return one == other
