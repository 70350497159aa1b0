"""A machine file back to what it says, and to what a machine of given faults does when told so.

Part of the pipeline: it tells ``replay`` what a profile says.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cutpath.moves import Reading
from cutpath.replay.faults import Faults
from cutpath.replay.gcode import read_rs274
from cutpath.replay.happening import happened
from cutpath.replay.hpgl import read_hpgl, read_hpgl2
from cutpath.replay.tip import tip_reading
from cutpath.replay.view import View
from cutpath.settings.profile import Language, Profile
from cutpath.settings.profile_advance import AdvanceWord

_READERS = {Language.HPGL: read_hpgl, Language.HPGL2: read_hpgl2, Language.RS274: read_rs274}
_WORD = re.compile(r"\bM0*(\d+)\b", re.IGNORECASE)


def read_back(data: bytes, profile: Profile) -> Reading:
    """Read ``data`` as the profile's machine takes it, in its coordinates, frame by frame.

    Raises InputError for what its language does not allow.
    """
    return _READERS[profile.language](data, view_of(profile))


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """What a file says, what the machine's tools do of it, and the same with blades at their tips.

    All in machine coordinates, mm.
    """

    told: Reading
    real: Reading
    tips: Reading


def simulated(
    data: bytes,
    profile: Profile,
    faults: Faults | None = None,
    trails: Mapping[int, float] | None = None,
) -> Simulated:
    """Give what a machine does with the file ``data`` of the profile's language.

    ``faults`` are the machine's own, and ``trails`` its blade offsets, mm by tool number: the
    profile's where they are not said, but they need not be. Raises InputError for a file that the
    language's reader refuses.
    """
    told = read_back(data, profile)
    real = happened(told, faults_of(profile) if faults is None else faults).reading
    offsets = {**trails_of(profile), **(trails or {})}
    return Simulated(told, real, tip_reading(real, offsets, headings_of(profile)))


def faults_of(profile: Profile) -> Faults:
    """Give the machine's faults as the profile says them."""
    said = profile.compensation
    return Faults(
        x_scale=said.x_scale,
        y_scale=said.y_scale,
        skew=said.skew,
        x_play=said.x_backlash,
        y_play=said.y_backlash,
        offsets={tool.number: tool.offset for tool in profile.tools.values()},
    )


def trails_of(profile: Profile) -> dict[int, float]:
    """Give how far each blade's tip trails, mm by tool number."""
    return {tool.number: tool.blade_offset for tool in profile.tools.values()}


def headings_of(profile: Profile) -> dict[int, float]:
    """Give where blades point when the file begins, radians by tool number."""
    return {tool.number: tool.first_heading for tool in profile.tools.values()}


def view_of(profile: Profile) -> View:
    """Give how the profile's machine takes its files, for a reader."""
    output = profile.output
    cloth = profile.advance_word()
    down = [line for tool in profile.tools.values() for line in tool.lower]
    up = [line for tool in profile.tools.values() for line in tool.lift]
    return View(
        units_per_mm=output.units_per_mm,
        largest_number=output.largest_number,
        surface=output.surface,
        lower_codes=_codes(down),
        lift_codes=_codes(up),
        line_limit=output.longest_line,
        turning_axes=profile.motion.turning_axis,
        first_tool=_tool_in_hand(profile),
        dwell_is_milliseconds="{milliseconds" in output.dwell,
        **({} if cloth is None else _cloth_words(cloth, profile.language)),
    )


def _tool_in_hand(profile: Profile) -> int:
    """Give the tool that is in hand when a file begins: the only one that is never changed."""
    never = profile.language is Language.RS274 and not profile.output.tool_change
    numbers = [tool.number for tool in profile.tools.values()]
    return numbers[0] if never and len(numbers) == 1 else 0


def _cloth_words(word: AdvanceWord, language: Language) -> dict[str, Any]:
    letters = "cloth_letter" if language is Language.RS274 else "cloth_instruction"
    return {
        letters: word.letters,
        "cloth_code": word.code,
        "cloth_sign": word.sign,
        "cloth_totals": word.is_total,
    }


def _codes(lines: Sequence[str]) -> tuple[int, ...]:
    return tuple(dict.fromkeys(int(code) for line in lines for code in _WORD.findall(line)))
