"""Moves to the bytes of the profile's language."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutpath.geometry.points import Ints
from cutpath.machine.hpgl import write_hpgl
from cutpath.machine.hpgl2 import write_hpgl2
from cutpath.machine.program_text import ProgramText
from cutpath.machine.rs274 import write_rs274
from cutpath.moves import Move
from cutpath.settings.profile import Language, Profile

_WRITERS: dict[Language, Callable[[Sequence[Move], Profile], ProgramText]] = {
    Language.HPGL: write_hpgl,
    Language.HPGL2: write_hpgl2,
    Language.RS274: write_rs274,
}


@dataclass(frozen=True, slots=True, eq=False)
class Emitted:
    """The file of n moves. ``joints``, (n + 1,): where each move's bytes begin, and the ending."""

    data: bytes
    joints: Ints


def emit(moves: Sequence[Move], profile: Profile) -> bytes:
    """Give the file that makes the machine do ``moves``; the same bytes every time.

    Raises MachineError for a place that the machine cannot count to.
    """
    return _WRITERS[profile.language](moves, profile).data()


def emit_by_move(moves: Sequence[Move], profile: Profile) -> Emitted:
    """Give the file that ``emit`` gives, and which of its bytes make the machine do each move."""
    text = _WRITERS[profile.language](moves, profile)
    return Emitted(text.data(), text.joints())
