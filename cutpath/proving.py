"""Toolpaths to bytes and straight back: writing, replaying and comparing, by one profile.

Part of the pipeline: it joins ``machine`` and ``replay``, which do not know each other.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

import numpy as np

from cutpath.cooling_check import check_cooling
from cutpath.errors import CutpathError, FitError
from cutpath.geometry.chain import Chain, circle
from cutpath.geometry.points import Floats, Ints
from cutpath.geometry.transform import Matrix, transformed
from cutpath.machine.clock import Clocked, machine_time
from cutpath.machine.compensating import told_by_move
from cutpath.machine.emission import emit_by_move
from cutpath.machine.motion import moves_by_toolpath, moves_for
from cutpath.model import Feature, Toolpath
from cutpath.moves import Dwell, Lift, Lower, Move, Reading, SelectTool
from cutpath.reading_back import faults_of, headings_of, read_back, trails_of, view_of
from cutpath.replay.comparing import Asked
from cutpath.replay.on_cloth import AskedAdvances, laid_out, merged
from cutpath.replay.proof import Limits, Proof, prove
from cutpath.settings.profile import Language, Profile, Tool
from cutpath.settings.profile_check import smallest_step

_SIDES = {Feature.OUTLINE: 1, Feature.INNER: -1}
"""Where the piece lies: inside its outline, around its openings."""
_OWN_WAIT = re.compile(r"\bG0*4 *P *([\d.]+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, eq=False)
class Written:
    """A machine file, what it does when read back, the proof of it, and how long it takes.

    ``told`` is what the file says; ``reading`` what the machine, with its faults, makes of that.
    ``joints``, (n + 1,), are the bytes at which each of n toolpaths begins, and the file's ending;
    ``seconds``, (n,), the machine's time at each one's end.
    """

    data: bytes
    told: Reading
    reading: Reading
    proof: Proof
    clock: Clocked
    joints: Ints
    seconds: Floats


def write_and_prove(toolpaths: Sequence[Toolpath], profile: Profile) -> Written:
    """Write ``toolpaths`` (bed coordinates, in order) for the profile's machine and prove the file.

    Frames go out in one file: the cloth is moved on before each toolpath with an ``advance``, by
    which a new frame begins; toolpaths are in the bed coordinates of their own frame.

    Raises MachineError for what the machine cannot do, FitError for a file that its own language's
    reader refuses.
    """
    by_toolpath = moves_by_toolpath(toolpaths, profile)
    moves = tuple(move for each in by_toolpath for move in each)
    told = told_by_move(moves, profile)
    emitted = emit_by_move([each for part in told for each in part], profile)
    written = _proved(emitted.data, moves, told, toolpaths, profile)
    ends = np.cumsum([0, *map(len, told)])[np.cumsum([0, *map(len, by_toolpath)])]
    seconds = np.concatenate([[0.0], np.cumsum(written.clock.moves)])[ends[1:]]
    return replace(written, joints=emitted.joints[ends], seconds=seconds)


def prove_bytes(data: bytes, toolpaths: Sequence[Toolpath], profile: Profile) -> Written:
    """Prove that ``data`` does what is asked by ``toolpaths``, whoever wrote it.

    Which bytes are whose is not known: ``joints`` and ``seconds`` are empty. Raises as
    ``write_and_prove`` does.
    """
    moves = moves_for(toolpaths, profile)
    return _proved(data, moves, told_by_move(moves, profile), toolpaths, profile)


def _proved(
    data: bytes,
    moves: Sequence[Move],
    told: Sequence[Sequence[Move]],
    toolpaths: Sequence[Toolpath],
    profile: Profile,
) -> Written:
    try:
        read = read_back(data, profile)
    except CutpathError as error:
        raise FitError(
            f"the file written for '{profile.name}' is not valid {profile.language.value}: "
            f"{error.message}",
            error.source,
            "Look at the profile's start, end, tool_change and modes lines.",
        ) from error
    strokes: dict[str, int] = {}
    order: list[str] = []
    for move in moves:
        if isinstance(move, SelectTool):
            order.append(move.tool)
        elif isinstance(move, Lower):
            strokes[order[-1]] = strokes.get(order[-1], 0) + 1
    asked = _asked(toolpaths, profile, strokes)
    limits = replace(_limits(profile, order, toolpaths), waits=tuple(_waits(moves, profile)))
    proof = prove(data, read, asked, limits)
    cooled = check_cooling(moves, profile)
    if cooled is not None:
        proof = replace(proof, checks=(*proof.checks, cooled))
    clock = machine_time([each for part in told for each in part], profile)
    none = np.zeros(0, dtype=np.int64)
    return Written(data, read, proof.real, proof, clock, none, np.zeros(0))


def _waits(moves: Sequence[Move], profile: Profile) -> Iterator[float]:
    """Give how long the machine should stand still each time, s, its own lines included."""
    if profile.language is not Language.RS274:
        return
    output, tool = profile.output, None
    lines = [*output.start, *output.end]
    for move in moves:
        match move:
            case SelectTool(name):
                tool = profile.tools[name]
                lines += output.tool_change
            case Lower() if tool is not None:
                lines += tool.lower
            case Lift() if tool is not None:
                lines += tool.lift
            case Dwell(seconds):
                yield seconds
            case _:
                pass
    unit = 1000 if view_of(profile).dwell_is_milliseconds else 1
    yield from (float(word) / unit for line in lines for word in _OWN_WAIT.findall(line))


def _asked(toolpaths: Sequence[Toolpath], profile: Profile, strokes: dict[str, int]) -> list[Asked]:
    chains: dict[str, list[Chain]] = {}
    sides: dict[str, list[int]] = {}
    for path, matrix in zip(toolpaths, _to_cloth(toolpaths, profile), strict=True):
        if path.is_dry:
            continue
        name = profile.tool_name_of(path)
        chain = transformed(path.chain, matrix)
        hole = profile.tools[name].hole
        if hole is not None and path.feature is Feature.DRILL:
            chain = circle(chain.first, hole / 2)
        chains.setdefault(name, []).append(chain)
        sides.setdefault(name, []).append(_SIDES.get(path.feature, 0) if chain.closed else 0)
    return [
        _asked_of(name, profile.tools[name], lines, sides[name], strokes[name])
        for name, lines in chains.items()
    ]


def _asked_of(name: str, tool: Tool, lines: list[Chain], sides: list[int], strokes: int) -> Asked:
    width = (tool.diameter or 0.0) if tool.hole is not None else tool.kerf
    # A lead-in is a quarter of a circle.
    before = max(tool.lead_in * math.pi / 2, tool.overlap)
    return Asked(
        name=name,
        number=tool.number,
        tolerance=tool.tolerance,
        chains=tuple(lines),
        strokes=strokes if strokes != len(lines) else None,
        width=width,
        sides=tuple(sides),
        spare=(before, tool.overlap),
    )


def _limits(profile: Profile, order: Sequence[str], toolpaths: Sequence[Toolpath]) -> Limits:
    tools = profile.tools
    matrices = _to_cloth(toolpaths, profile)
    loops = {
        feature: tuple(
            transformed(path.chain, matrix)
            for path, matrix in zip(toolpaths, matrices, strict=True)
            if path.feature is feature and path.chain.closed
        )
        for feature in _SIDES
    }
    return Limits(
        bed=profile.reach(),
        order=tuple(tools[name].number for name in order),
        put_away=None if profile.language is Language.RS274 else 0,
        offsets=trails_of(profile),
        headings=headings_of(profile),
        outlines=loops[Feature.OUTLINE],
        openings=loops[Feature.INNER],
        turned=tuple(tool.number for tool in tools.values() if tool.turned),
        advances=_advances(profile, toolpaths),
        faults=faults_of(profile),
        step=smallest_step(profile),
    )


def _advances(profile: Profile, toolpaths: Sequence[Toolpath]) -> AskedAdvances | None:
    if profile.advance is None:
        return None
    x, y = profile.run_in_machine().tolist()
    return AskedAdvances(
        tuple(path.advance for path in toolpaths if path.advance),
        (x, y),
        profile.compensation.advance_scale,
        profile.advance.tolerance,
    )


def _to_cloth(toolpaths: Sequence[Toolpath], profile: Profile) -> list[Matrix]:
    """Give what takes each toolpath from the bed to the cloth, as the machine counts at first."""
    matrix, run = profile.bed_to_machine(), profile.run_in_machine()
    far = accumulate(path.advance for path in toolpaths)
    return [np.column_stack([matrix[:, :2], matrix[:, 2] + mm * run]) for mm in far]


def machine_to_bed(profile: Profile) -> Matrix:
    """Give the 2 × 3 matrix from machine to bed coordinates, both mm."""
    there = profile.bed_to_machine()
    back = np.linalg.inv(there[:, :2])
    return np.column_stack([back, -back @ there[:, 2]])


def on_bed(reading: Reading, profile: Profile) -> Reading:
    """Give what a file does in bed coordinates, laid out on the cloth where it moves that."""
    x, y = profile.run_in_machine().tolist()
    scale = profile.compensation.advance_scale
    far = tuple(each.distance * scale for each in merged(reading.advances))
    laid = laid_out(reading, AskedAdvances(far, (x, y), scale))
    matrix = machine_to_bed(profile)
    return replace(
        laid,
        strokes=tuple(
            replace(stroke, chain=transformed(stroke.chain, matrix)) for stroke in laid.strokes
        ),
        travel=tuple(transformed(chain, matrix) for chain in laid.travel),
    )


def travel_on_bed(reading: Reading, profile: Profile) -> tuple[Chain, ...]:
    """Give the tool-up moves that were read back, in bed coordinates."""
    matrix = machine_to_bed(profile)
    return tuple(transformed(chain, matrix) for chain in reading.travel)
