"""``[[pocket]]``, ``[[zip]]`` and ``[[edge_rope]]``: what is sewn along an edge."""

from __future__ import annotations

from cutpath.settings.toml_file import Settings


class PocketEntry(Settings):
    """A tube pocket, or a channel for a curved bar, along a run of edges."""


class ZipEntry(Settings):
    """A zip along an edge."""


class EdgeRopeEntry(Settings):
    """A slide-in edge rope along an edge."""
