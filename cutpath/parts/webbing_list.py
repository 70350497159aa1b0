"""Straps on the lengths they are cut from: a cut list for each kind of webbing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.errors import InputError
from cutpath.part_model import Part, WebbingPiece
from cutpath.parts.stock import CutList, cut_list
from cutpath.parts.webbing import title_of
from cutpath.parts.webbing_lengths import KERF
from cutpath.settings.job import Job


@dataclass(frozen=True, slots=True)
class WebbingList:
    """The cut list of one kind of webbing; ``straps`` say which strap each piece is."""

    kind: str
    name: str
    straps: tuple[WebbingPiece, ...]
    cuts: CutList

    @property
    def names(self) -> tuple[str, ...]:
        """Give each piece's name."""
        return tuple(strap.name for strap in self.straps)

    @property
    def lengths(self) -> tuple[float, ...]:
        """Give each piece's cut length, mm."""
        return tuple(strap.length for strap in self.straps)


def webbing_lists(parts: Sequence[Part], job: Job) -> tuple[WebbingList, ...]:
    """Give a cut list for each kind of webbing: the longest pieces first, remnants before rolls.

    Raises InputError for a piece that no remnant and no roll is long enough for.
    """
    out = []
    for key, kind in job.said.webbings.items():
        straps = tuple(
            strap
            for part in parts
            for strap in part.webbing
            if strap.material == key
            for _ in range(strap.count)
        )
        lengths = [strap.length for strap in straps]
        if not straps:
            continue
        try:
            cuts = cut_list(lengths, kind.on_hand, kind.roll, KERF)
        except ValueError as error:
            raise InputError(
                f"no roll and no remnant of '{key}' is left that holds the longest strap, "
                f"{max(lengths):g} mm and {KERF:g} mm for its cut",
                job.place("webbings", key, "roll"),
                "Make it of two, joined, or say a longer roll.",
            ) from error
        out.append(WebbingList(key, title_of(kind), straps, cuts))
    return tuple(out)
