"""Moves to the bytes of the profile's language."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cutpath.machine.hpgl import write_hpgl
from cutpath.machine.hpgl2 import write_hpgl2
from cutpath.machine.rs274 import write_rs274
from cutpath.moves import Move
from cutpath.settings.profile import Language, Profile

_WRITERS: dict[Language, Callable[[Sequence[Move], Profile], bytes]] = {
    Language.HPGL: write_hpgl,
    Language.HPGL2: write_hpgl2,
    Language.RS274: write_rs274,
}


def emit(moves: Sequence[Move], profile: Profile) -> bytes:
    """Give the file that makes the machine do ``moves``; the same bytes every time.

    Raises MachineError for a place that the machine cannot count to.
    """
    return _WRITERS[profile.language](moves, profile)
