"""``[[webbing]]``, ``[[fastener]]`` and ``[thread]``: straps, hardware and what sews them."""

from __future__ import annotations

from cutpath.settings.toml_file import Settings


class WebbingEntry(Settings):
    """Straps of webbing."""


class FastenerEntry(Settings):
    """Fasteners that are bought."""


class ThreadEntry(Settings):
    """The thread that the job is sewn with."""
