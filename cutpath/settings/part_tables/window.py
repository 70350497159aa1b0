"""``[[window]]``, ``[[patch]]`` and ``[[binding]]``: what lies on a panel or closes its edge."""

from __future__ import annotations

from cutpath.settings.toml_file import Settings


class WindowEntry(Settings):
    """A window of film in a panel."""


class PatchEntry(Settings):
    """A reinforcement patch."""


class BindingEntry(Settings):
    """Binding along a run of net edges."""
