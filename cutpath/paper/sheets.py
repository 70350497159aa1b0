"""Sheets of paper by name."""

from __future__ import annotations

import re
from dataclasses import dataclass

from cutpath.errors import InputError
from cutpath.settings.nearest_word import nearest_word
from cutpath.units import parse_length

SIZES = {
    "A4": (210.0, 297.0), "A3": (297.0, 420.0), "A2": (420.0, 594.0), "A1": (594.0, 841.0),
    "A0": (841.0, 1189.0), "Letter": (215.9, 279.4), "Legal": (215.9, 355.6),
    "Tabloid": (279.4, 431.8), "ANSI C": (431.8, 558.8), "ANSI D": (558.8, 863.6),
    "ANSI E": (863.6, 1117.6),
}  # fmt: skip
"""Upright width and height, mm: ISO 216, and ANSI/ASME Y14.1 (A = Letter, B = Tabloid, 1 in =
25.4 mm); Legal is 8.5 × 14 in."""
_LONGEST = 20_000.0
"""A roll is cut at this length, mm."""
_ROLL = re.compile(r"\s*roll\s*(?:of\s*)?(.+?)\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet as it is printed: ``width`` × ``height`` mm; a roll's length is what is needed.

    ``margin`` is kept free on every side, ``overlap`` is what neighbouring sheets share.
    """

    name: str
    width: float
    height: float
    margin: float
    overlap: float
    is_roll: bool = False

    @property
    def room(self) -> tuple[float, float]:
        """Give what can be printed, mm across and up."""
        return self.width - 2 * self.margin, self.height - 2 * self.margin

    @property
    def step(self) -> tuple[float, float]:
        """Give how far one sheet's room lies from the next one's."""
        across, up = self.room
        return across - self.overlap, up - self.overlap


def sheet_of(
    words: str, margin: float = 10.0, overlap: float = 12.0, *, lying: bool = False
) -> Sheet:
    """Give the sheet that ``words`` name: "A4", "letter", "roll 914 mm"; ``lying`` turns it.

    Raises InputError for an unknown name, and where margin and overlap leave no room.
    """
    roll = _ROLL.fullmatch(words)
    if roll:
        width = parse_length(roll[1])
        sheet = Sheet(f"roll of {width:g} mm", width, _LONGEST, margin, overlap, is_roll=True)
    else:
        name = _known(words)
        width, height = SIZES[name]
        if lying:
            width, height = height, width
        sheet = Sheet(name, width, height, margin, overlap)
    if margin < 0 or overlap < 0:
        raise InputError("margin and overlap cannot be negative", remedy="Give 0 or more.")
    if min(sheet.step) < 40:
        raise InputError(
            f"margins of {margin:g} mm and an overlap of {overlap:g} mm leave no room on "
            f"{sheet.name}",
            remedy="Take less of either, or a larger sheet.",
        )
    return sheet


def _known(words: str) -> str:
    plain = {re.sub(r"[\s_-]", "", name).lower(): name for name in SIZES}
    plain |= {"ansia": "Letter", "ansib": "Tabloid", "ledger": "Tabloid"}
    found = plain.get(re.sub(r"[\s_-]", "", words).lower())
    if found is None:
        raise InputError(
            f"there is no paper '{words}'",
            remedy=nearest_word(words, SIZES)
            or f'Known: {", ".join(SIZES)}, and rolls: "roll 914 mm".',
        )
    return found
