"""Toolpaths to bytes and straight back: writing, replaying and comparing, by one profile.

Part of the pipeline: it joins ``machine`` and ``replay``, which do not know each other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.cooling_check import check_cooling
from cutpath.errors import CutpathError, FitError
from cutpath.geometry.chain import Chain
from cutpath.geometry.transform import Matrix, transformed
from cutpath.machine.clock import Clocked, machine_time
from cutpath.machine.emission import emit
from cutpath.machine.motion import moves_for
from cutpath.model import Lower, Reading, SelectTool, Toolpath
from cutpath.replay.comparing import Asked
from cutpath.replay.gcode import read_rs274
from cutpath.replay.hpgl import read_hpgl, read_hpgl2
from cutpath.replay.proof import Limits, Proof, prove
from cutpath.replay.view import View
from cutpath.settings.profile import Language, Profile

_READERS = {Language.HPGL: read_hpgl, Language.HPGL2: read_hpgl2, Language.RS274: read_rs274}
_WORD = re.compile(r"\bM0*(\d+)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, eq=False)
class Written:
    """A machine file, what it does when read back, the proof of it, and how long it takes."""

    data: bytes
    reading: Reading
    proof: Proof
    clock: Clocked


def write_and_prove(toolpaths: Sequence[Toolpath], profile: Profile) -> Written:
    """Write ``toolpaths`` (bed coordinates, in order) for the profile's machine and prove the file.

    Raises MachineError for what the machine cannot do, FitError for a file that its own language's
    reader refuses.
    """
    moves = moves_for(toolpaths, profile)
    data = emit(moves, profile)
    try:
        reading = _READERS[profile.language](data, _view(profile))
    except CutpathError as error:
        raise FitError(
            f"the file written for '{profile.name}' is not valid {profile.language.value}: "
            f"{error.message}",
            error.source,
            "Look at the profile's start, end and tool_change lines.",
        ) from error
    strokes: dict[str, int] = {}
    order: list[str] = []
    for move in moves:
        if isinstance(move, SelectTool):
            order.append(move.tool)
        elif isinstance(move, Lower):
            strokes[order[-1]] = strokes.get(order[-1], 0) + 1
    asked = _asked(toolpaths, profile, strokes)
    proof = prove(data, reading, asked, _limits(profile, order))
    cooled = check_cooling(moves, profile)
    if cooled is not None:
        proof = replace(proof, checks=(*proof.checks, cooled))
    return Written(data, reading, proof, machine_time(moves, profile))


def _asked(toolpaths: Sequence[Toolpath], profile: Profile, strokes: dict[str, int]) -> list[Asked]:
    matrix = profile.bed_to_machine()
    chains: dict[str, list[Chain]] = {}
    for path in toolpaths:
        name = profile.tool_name_for(path.role)
        chains.setdefault(name, []).append(transformed(path.chain, matrix))
    return [
        Asked(
            name=name,
            number=profile.tools[name].number,
            tolerance=profile.tools[name].tolerance,
            chains=tuple(lines),
            strokes=strokes[name] if strokes[name] != len(lines) else None,
        )
        for name, lines in chains.items()
    ]


def _limits(profile: Profile, order: Sequence[str]) -> Limits:
    tools = profile.tools
    return Limits(
        bed=profile.reach(),
        order=tuple(tools[name].number for name in order),
        put_away=None if profile.language is Language.RS274 else 0,
        offsets={tool.number: tool.blade_offset for tool in tools.values()},
        headings={tool.number: tool.first_heading for tool in tools.values()},
    )


def _view(profile: Profile) -> View:
    output = profile.output
    down = [line for tool in profile.tools.values() for line in tool.lower]
    up = [line for tool in profile.tools.values() for line in tool.lift]
    return View(
        units_per_mm=output.units_per_mm,
        largest_number=output.largest_number,
        surface=output.surface,
        lower_codes=_codes(down),
        lift_codes=_codes(up),
        line_limit=output.longest_line,
    )


def _codes(lines: Sequence[str]) -> tuple[int, ...]:
    return tuple(dict.fromkeys(int(code) for line in lines for code in _WORD.findall(line)))


def machine_to_bed(profile: Profile) -> Matrix:
    """Give the 2 × 3 matrix from machine to bed coordinates, both mm."""
    there = profile.bed_to_machine()
    back = np.linalg.inv(there[:, :2])
    return np.column_stack([back, -back @ there[:, 2]])


def travel_on_bed(reading: Reading, profile: Profile) -> tuple[Chain, ...]:
    """Give the tool-up moves that were read back, in bed coordinates."""
    matrix = machine_to_bed(profile)
    return tuple(transformed(chain, matrix) for chain in reading.travel)
