"""Straps in lanes on the bed: pulled straight, marked by pen, their ends cut and sealed by heat."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from cutpath.errors import Source
from cutpath.geometry.chain import Chain, line, polyline
from cutpath.model import Finding, Load, Piece, Role
from cutpath.part_model import Part, WebbingPiece
from cutpath.parts.webbing_lengths import KERF
from cutpath.settings.job import Job
from cutpath.settings.profile import Profile

_LANE_GAP = 30.0
_BEYOND = 6.0
"""How far a hot stroke begins and ends beside the strap, mm: its slow lead (our choice)."""


def webbing_loads(
    parts: Sequence[Part], job: Job, profile: Profile
) -> tuple[tuple[Load, ...], tuple[Finding, ...]]:
    """Give a load for each kind of webbing with sealed ends, or say why it stays on the list.

    Lanes run along the bed's x. Neighbouring straps of a lane share one cut; the lane's first end
    is trimmed.
    """
    straps = [strap for part in parts for strap in part.webbing if strap.is_sealed]
    if not straps:
        return (), ()
    place = Source(file=job.file, key="webbing")
    if not profile.has_tool_for(Role.HOT):
        return (), (
            Finding(
                f"'{profile.name}' has no hot tool: straps are on the cut list only", place,
                "Cut and seal them by hand, or choose a machine with a hot tool.",
            ),
        )  # fmt: skip
    loads: list[Load] = []
    findings: list[Finding] = []
    for kind in dict.fromkeys(strap.material for strap in straps):
        same = sorted((s for s in straps if s.material == kind), key=lambda s: -s.length)
        room = profile.bed.width - 2 * profile.bed.margin - 2 * _BEYOND
        long = [strap.name for strap in same if strap.length + 2 * KERF > room]
        if long:
            findings.append(
                Finding(
                    f"{', '.join(long)}: longer than the bed of '{profile.name}'", place,
                    "Cut these by hand, from the list.",
                )
            )  # fmt: skip
        fitting = [strap for strap in same if strap.name not in long]
        loads += _loads(kind, fitting, job, profile, room)
    return tuple(loads), tuple(findings)


def _loads(
    kind: str, straps: Sequence[WebbingPiece], job: Job, profile: Profile, room: float
) -> Iterator[Load]:
    if not straps:
        return
    width = job.said.webbings[kind].width
    lanes = _lanes(straps, room)
    bed = profile.bed
    step = width + _LANE_GAP
    many = max(1, int((bed.height - 2 * bed.margin - 2 * _BEYOND - width) // step) + 1)
    numbers = {strap.name: 0 for strap in straps}
    for number, first in enumerate(range(0, len(lanes), many), start=1):
        pieces: list[Piece] = []
        for row, lane in enumerate(lanes[first : first + many]):
            y = bed.margin + _BEYOND + row * step
            pieces += _lane(lane, bed.margin + _BEYOND, y, width, kind, numbers)
        note = f"{len(pieces)} straps in lanes; pull each straight along x and hold both ends"
        yield Load(kind, number, tuple(pieces), note)


def _lanes(straps: Sequence[WebbingPiece], room: float) -> list[list[WebbingPiece]]:
    """Fill lanes with straps, the longest first, each where it leaves the least."""
    lanes: list[tuple[float, list[WebbingPiece]]] = []
    for strap in (each for each in straps for _ in range(each.count)):
        need = strap.length + KERF
        fitting = [(free, k) for k, (free, _) in enumerate(lanes) if free >= need]
        if fitting:
            free, k = min(fitting)
            lanes[k][1].append(strap)
            lanes[k] = (free - need, lanes[k][1])
        else:
            lanes.append((room - KERF - need, [strap]))
    return [lane for _, lane in lanes]


def _lane(
    lane: Sequence[WebbingPiece],
    x: float,
    y: float,
    width: float,
    kind: str,
    numbers: dict[str, int],
) -> Iterator[Piece]:
    at = x
    for index, strap in enumerate(lane):
        numbers[strap.name] += 1
        name = strap.name if strap.count == 1 else f"{strap.name} {numbers[strap.name]}"
        ends = (at, at + strap.length)
        sealed = [_across(ends[1], y, width)]
        if index == 0:
            sealed.insert(0, _across(ends[0], y, width))
        outline = polyline(
            np.array([(ends[0], y), (ends[1], y), (ends[1], y + width), (ends[0], y + width)]),
            closed=True,
        )
        pen = tuple(
            line((ends[0] + mark, y + 2.0), (ends[0] + mark, y + width - 2.0))
            for mark in strap.marks
        )
        yield Piece(
            name=name, panel=strap.name, cloth=kind, mirrored=False, cut=outline, net=outline,
            notches=(), inner_cuts=(), pen=pen, lettering=(), drills=(),
            source=Source(entity=strap.name), grain=0.0, sealed=tuple(sealed),
        )  # fmt: skip
        at = ends[1] + KERF


def _across(x: float, y: float, width: float) -> Chain:
    return line((x, y - _BEYOND), (x, y + width + _BEYOND))
