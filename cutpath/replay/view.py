"""How a machine takes what a file says: the few facts a reader cannot find in the file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NoReturn

from cutpath.errors import InputError, Source


@dataclass(frozen=True, slots=True)
class View:
    """What the readers must know of the machine; the defaults are those of the manuals.

    HP-GL: ``units_per_mm`` plotter units a millimetre (HP, PCL 5 reference II, table 17-7: 40);
    ``largest_number`` is the largest coordinate it counts to, None for the manual's own;
    ``passed_over`` are instructions of this machine's own that move nothing; ``cloth_instruction``
    moves the cloth by its number of units.

    RS274: the tool is down where Z is below ``surface`` mm or, when ``lower_codes`` is not empty,
    from one of these M codes to one of ``lift_codes``. ``turning_axes`` are axis letters that turn
    the tool and move nothing; ``line_limit`` counts characters; ``semicolons`` tells whether text
    after ``;`` is a comment; ``dwell_is_milliseconds`` whether P of G4 counts those, not seconds
    (3.5.4). ``first_tool`` is the tool in hand when the file begins. The cloth moves by the letter
    ``cloth_letter``: an axis of its own, or with the M code ``cloth_code``.

    ``cloth_sign`` is −1 where larger numbers move the cloth back; ``cloth_totals`` tells that
    the numbers of an instruction or M code count all advances so far, not one alone.
    """

    units_per_mm: float = 40.0
    largest_number: int | None = None
    passed_over: tuple[str, ...] = ()
    surface: float = 0.0
    lower_codes: tuple[int, ...] = ()
    lift_codes: tuple[int, ...] = ()
    turning_axes: str = ""
    line_limit: int = 256
    semicolons: bool = False
    dwell_is_milliseconds: bool = False
    first_tool: int = 0
    cloth_instruction: str = ""
    cloth_letter: str = ""
    cloth_code: int | None = None
    cloth_sign: int = 1
    cloth_totals: bool = False


def refuse_at(message: str, place: str | int, remedy: str = "") -> NoReturn:
    """Raise InputError at a line number (int) or at what ``place`` names ("byte 12").

    Raises InputError always.
    """
    source = Source(line=place) if isinstance(place, int) else Source(entity=place)
    raise InputError(message, source, remedy or "The machine would stop here or do something else.")
