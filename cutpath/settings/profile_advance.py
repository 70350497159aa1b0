"""What a machine's profile says about moving the cloth on by itself, between two frames.

A lay longer than the bed then goes out as one file: frame by frame, the tool up and the cloth moved
on in between. Without this table cloth is moved by hand, and each frame is a file of its own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Self

from pydantic import Field, field_validator, model_validator

from cutpath.settings.quantities import Seconds, Size
from cutpath.settings.toml_file import Settings

_PLACE = re.compile(r"\{(advance|advanced)\}")
_WORD = re.compile(r"([A-Za-z])(-?)\{(advance|advanced)\}")
_CODE = re.compile(r"(?<![A-Za-z])[Mm]0*(\d+)")
_INSTRUCTION = re.compile(r"([A-Za-z]{2})(-?)\{(advance|advanced)\}(?:;|$)")
_AXES = "UVWABC"
_WITH_CODE = "PQS"
_TAKEN = {"PA", "PR", "PU", "PD", "SP", "AA", "AR", "AT", "RT", "CI", "PE", "IN", "DF", "VS", "FS"}


@dataclass(frozen=True, slots=True)
class AdvanceWord:
    """The word that moves the cloth: its letters, its M code (RS274, None: an axis), its sign.

    ``is_total`` tells that the number counts all advances so far, not this one alone.
    """

    letters: str
    code: int | None
    sign: int
    is_total: bool


class Advance(Settings):
    """How the machine moves the cloth on."""

    lines: tuple[str, ...] = Field(
        min_length=1,
        description="lines that move the cloth; {advance} is how far, {advanced} all so far, in "
        "the file's own unit",
    )
    longest: Size | None = Field(
        None, description="largest single advance; longer ways are made in equal parts"
    )
    speed: float = Field(100.0, gt=0, le=10_000, description="of the cloth, mm/s")
    settle_time: Seconds = Field(0.0, description="until the cloth lies still and is held again")
    tolerance: Size = Field(
        0.1, le=5, description="largest error of all advances together that passes the proof"
    )

    @field_validator("lines")
    @classmethod
    def _can_be_filled(cls, lines: tuple[str, ...]) -> tuple[str, ...]:
        for line in lines:
            try:
                line.format(advance="1", advanced="1")
            except (KeyError, IndexError, ValueError, AttributeError) as error:
                raise ValueError(
                    f"'{line}' cannot be filled in. Only {{advance}} and {{advanced}} are"
                ) from error
        return lines

    @model_validator(mode="after")
    def _moves_once(self) -> Self:
        if len(_PLACE.findall(" ".join(self.lines))) != 1:
            raise ValueError("one of the lines holds {advance} or {advanced}, once")
        return self

    def axis_word(self) -> AdvanceWord:
        """Give the word in RS274. Raises ValueError for a line that its reader cannot follow."""
        line = self._moving_line()
        found = _WORD.search(line)
        if found is None:
            raise ValueError(f"'{line}': a letter stands before the number, as in U{{advance}}")
        letter, sign, which = found[1].upper(), found[2], found[3]
        code = _CODE.search(line)
        allowed = _AXES if code is None else _WITH_CODE
        if letter not in allowed:
            raise ValueError(
                f"'{line}': the cloth moves by an axis ({', '.join(_AXES)}) or by an M code with "
                f"one of {', '.join(_WITH_CODE)}"
            )
        number = None if code is None else int(code[1])
        return AdvanceWord(letter, number, -1 if sign else 1, which == "advanced")

    def instruction(self) -> AdvanceWord:
        """Give the instruction in HP-GL. Raises ValueError for a line that cannot be one."""
        line = self._moving_line()
        found = _INSTRUCTION.search(line)
        if found is None or found[1].upper() in _TAKEN:
            raise ValueError(
                f"'{line}': an instruction of the machine's own, two letters and the number, moves "
                "the cloth"
            )
        letters, sign, which = found.groups()
        return AdvanceWord(letters.upper(), None, -1 if sign else 1, which == "advanced")

    def _moving_line(self) -> str:
        return next(line for line in self.lines if _PLACE.search(line))
