"""Straps in lanes on the bed: pulled straight, marked by pen, their ends cut and sealed by heat."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, line, polyline
from cutpath.model import Feature, Finding, Load, Piece, Role
from cutpath.part_model import Part, WebbingPiece
from cutpath.parts.fibres import fibres
from cutpath.parts.webbing_lengths import BOX_FROM_EDGE, KERF
from cutpath.parts.webbing_list import WebbingList, webbing_lists
from cutpath.settings.job import Job
from cutpath.settings.part_tables.webbing import WebbingKind
from cutpath.settings.profile import Language, Profile, Tool

_LANE_GAP = 30.0
_BEYOND = 6.0
"""How far a hot stroke begins and ends beside the strap, mm: its slow lead (our choice)."""
_TICK = 2.0
"""How far pen strokes keep from the strap's edges, mm."""


@dataclass(frozen=True, slots=True, eq=False)
class StrapLoad:
    """A load of straps and the machine as it cuts them: the hot tool as their fibre takes it."""

    load: Load
    profile: Profile


def webbing_loads(
    parts: Sequence[Part], job: Job, profile: Profile
) -> tuple[tuple[StrapLoad, ...], tuple[Finding, ...]]:
    """Give the loads of each kind of webbing with sealed ends, or say why it stays on the list.

    Lanes run along the bed's x and follow the cut list: what comes from one length lies in one row,
    as far as the bed reaches. Neighbouring straps of a lane share one cut.

    Raises InputError where the job asks of the hot tool what the machine's language cannot say.
    """
    lists = [each for each in webbing_lists(parts, job) if any(s.is_sealed for s in each.straps)]
    if not lists:
        return (), ()
    place = Source(file=job.file, key="webbing")
    if not profile.has_tool_for(Role.HOT):
        return (), (
            Finding(
                f"'{profile.name}' has no hot tool: straps are on the cut list only", place,
                "Cut and seal them by hand, or choose a machine with a hot tool.",
            ),
        )  # fmt: skip
    loads: list[StrapLoad] = []
    findings: list[Finding] = []
    for each in lists:
        machine, minded = _as_fibre_takes_it(each.kind, job, profile)
        findings += minded
        room = profile.bed.width - 2 * profile.bed.margin - 2 * _BEYOND
        long = {s.name: s.length for s in each.straps if s.is_sealed and s.length + KERF > room}
        if long:
            findings.append(
                Finding(
                    f"{', '.join(long)}: {max(long.values()):.0f} mm are longer than the bed of "
                    f"'{profile.name}'", place, "Cut these by hand, from the list.",
                )
            )  # fmt: skip
        width = job.said.webbings[each.kind].width
        loads += [StrapLoad(load, machine) for load in _loads(each, width, room, machine)]
    return tuple(loads), tuple(findings)


def _as_fibre_takes_it(key: str, job: Job, profile: Profile) -> tuple[Profile, tuple[Finding, ...]]:
    """Give the machine with the hot tool's speed and wait for a webbing, and what to mind.

    What the job says of the webbing goes first, then what the profile says of the fibre, then what
    it says of the tool.
    """
    kind = job.said.webbings[key]
    name = profile.tool_name_for(Role.HOT, Feature.SEAL)
    tool = profile.tools[name]
    own = tool.fibres.get(kind.fibre)
    speed = kind.speed or (own.speed if own else None) or tool.speed
    dwells = (kind.dwell, own.dwell if own else None, tool.dwell)
    dwell = next(each for each in dwells if each is not None)
    if dwell and profile.language is not Language.RS274:
        raise InputError(
            f"'{profile.name}' has no instruction to wait",
            job.place("webbings", key, "dwell"),
            "Leave out dwell, or choose a machine that is spoken to in RS274.",
        )
    fitted = tool.model_copy(update={"speed": speed, "dwell": dwell})
    machine = profile.model_copy(update={"tools": {**profile.tools, name: fitted}})
    return machine, tuple(_minded(key, kind, fitted, profile, job))


def _minded(
    key: str, kind: WebbingKind, tool: Tool, profile: Profile, job: Job
) -> Iterator[Finding]:
    heat = fibres().sealed.get(kind.fibre)
    if heat is None:
        return
    place = job.place("webbings", key)
    mend = f"Say speed or dwell in [webbings.{key}], or in the machine's profile. Try on scrap."
    slow, fast = heat.speed
    if tool.speed is not None and not slow <= tool.speed <= fast:
        yield Finding(
            f"'{profile.name}' cuts {key} at {tool.speed:g} mm/s; {slow:g} to {fast:g} are usual "
            f"for {kind.fibre.value} ({heat.blade_source})", place, mend,
        )  # fmt: skip
    short, long = heat.dwell
    if profile.language is Language.RS274 and not short <= tool.dwell <= long:
        yield Finding(
            f"the hot tool of '{profile.name}' waits {tool.dwell:g} s on {key}; {short:g} to "
            f"{long:g} s are usual for {kind.fibre.value} ({heat.blade_source})", place, mend,
        )  # fmt: skip


def _loads(each: WebbingList, width: float, room: float, profile: Profile) -> Iterator[Load]:
    bed = profile.bed
    step = width + _LANE_GAP
    many = max(1, int((bed.height - 2 * bed.margin - 2 * _BEYOND - width) // step) + 1)
    lanes = list(_lanes(each, room))
    has_pen = profile.has_tool_for(Role.PEN)
    numbers: Counter[str] = Counter()
    for number, first in enumerate(range(0, len(lanes), many), start=1):
        pieces: list[Piece] = []
        stocks: list[str] = []
        for row, (stock, straps) in enumerate(lanes[first : first + many]):
            y = bed.margin + _BEYOND + row * step
            at = np.array([bed.margin + _BEYOND, y])
            pieces += _lane(straps, at, f"webbing {each.kind}", numbers)
            stocks.append(f"{row + 1} from {stock}")
        if not has_pen:
            pieces = [replace(piece, pen=()) for piece in pieces]
        note = (
            f"{each.name}: {len(pieces)} straps in lanes, from the near side: {', '.join(stocks)}. "
            "Pull each straight along x and hold both ends; its end lies at the first cut"
        )
        yield Load(f"webbing {each.kind}", number, tuple(pieces), note)


def _lanes(each: WebbingList, room: float) -> Iterator[tuple[str, list[WebbingPiece]]]:
    """Give what each lane is cut from and its straps, in the cut list's order."""
    for bar in each.cuts.bars:
        stock = "a new roll" if bar.is_new else f"the remnant of {bar.length / 1000:.2f} m"
        lane: list[WebbingPiece] = []
        free = room
        for strap in (each.straps[index] for index in bar.pieces):
            need = strap.length + KERF
            if not strap.is_sealed or need > room:
                continue
            if need > free:
                yield stock, lane
                lane, free = [], room
            lane.append(strap)
            free -= need
        if lane:
            yield stock, lane


def _lane(
    lane: Sequence[WebbingPiece], at: np.ndarray, cloth: str, numbers: Counter[str]
) -> Iterator[Piece]:
    x, y = float(at[0]), float(at[1])
    for index, strap in enumerate(lane):
        numbers[strap.name] += 1
        name = strap.name if strap.count == 1 else f"{strap.name} {numbers[strap.name]}"
        end, far = x + strap.length, y + strap.width
        # The blade's middle runs in the middle of what it takes away.
        sealed = [_across(end + KERF / 2, y, far)]
        if index == 0:
            sealed.insert(0, _across(x, y, far))
        outline = polyline([(x, y), (end, y), (end, far), (x, far)], closed=True)
        yield Piece(
            name=name, panel=strap.name, cloth=cloth, mirrored=False, cut=outline, net=outline,
            notches=(), inner_cuts=(), pen=tuple(_pen(strap, x, y)), lettering=(), drills=(),
            source=Source(entity=strap.name), grain=0.0, sealed=tuple(sealed),
        )  # fmt: skip
        x = end + KERF


def _across(x: float, y: float, far: float) -> Chain:
    return line((x, y - _BEYOND), (x, far + _BEYOND))


def _pen(strap: WebbingPiece, x: float, y: float) -> Iterator[Chain]:
    """Draw folds across the strap, and boxes of stitches with their crosses."""
    for mark in strap.marks:
        yield line((x + mark, y + _TICK), (x + mark, y + strap.width - _TICK))
    side = min(BOX_FROM_EDGE, strap.width / 3)
    low, high = y + side, y + strap.width - side
    for begin, end in strap.boxes:
        a, b = x + begin, x + end
        yield polyline([(a, low), (b, low), (b, high), (a, high)], closed=True)
        yield line((a, low), (b, high))
        yield line((b, low), (a, high))
