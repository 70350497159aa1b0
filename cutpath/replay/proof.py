"""The proof of one machine file: how far what it cuts lies from what was asked."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from cutpath.errors import FitError
from cutpath.geometry.chain import Chain
from cutpath.moves import Reading
from cutpath.replay.checks import (
    Box,
    Check,
    check_advances,
    check_coverage,
    check_end,
    check_envelope,
    check_order,
    check_play,
    check_travel,
    check_turning,
    check_waits,
    check_waste,
)
from cutpath.replay.comparing import SAMPLING, Asked, Comparison, compare
from cutpath.replay.faults import NO_FAULTS, Faults
from cutpath.replay.happening import happened
from cutpath.replay.on_cloth import AskedAdvances, laid_out, merged
from cutpath.replay.tip import tip_reading

_DECIMALS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Limits:
    """What the machine allows: the bed in machine coordinates (min x, min y, max x, max y; mm).

    ``order`` lists the tool numbers as they should work; ``put_away`` is the tool in hand at the
    end (0 none, None any). ``offsets`` are blade offsets, mm, and ``headings`` where blades point
    at the start, radians, by tool number. ``outlines`` of pieces and their ``openings`` tell waste
    from cloth; ``turned`` are the tools that an axis turns. ``advances`` are those of the cloth,
    None for a machine that does not move it; ``waits`` how long the machine should stand still each
    time, s; ``faults`` those of the machine; ``step`` that of the file's numbers, mm.
    """

    bed: Box
    order: tuple[int, ...]
    put_away: int | None
    offsets: Mapping[int, float]
    headings: Mapping[int, float]
    outlines: tuple[Chain, ...] = ()
    openings: tuple[Chain, ...] = ()
    turned: tuple[int, ...] = ()
    advances: AskedAdvances | None = None
    waits: tuple[float, ...] = ()
    faults: Faults = NO_FAULTS
    step: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Proof:
    """What replaying the bytes showed; ``sha256`` is that of the bytes.

    ``real`` is what the machine, with its faults, does when told what was read, frame by frame;
    ``holders`` the same laid out on the cloth where the file moves it: frame after frame, as the
    machine counts in the first. ``tips`` is that with the strokes of drag blades as their tips go.
    ``frames`` tell of each frame how far the cloth moves before it, mm as asked and
    as read, and how often a tool goes down; there are none where the cloth stays.
    """

    compared: tuple[Comparison, ...]
    checks: tuple[Check, ...]
    sha256: str
    real: Reading
    tips: Reading
    holders: Reading
    frames: tuple[tuple[float, float, int], ...] = ()

    @property
    def passed(self) -> bool:
        """Whether every tool keeps its tolerance and every check holds."""
        kept = all(tool.deviation <= tool.asked.tolerance for tool in self.compared)
        return kept and all(check.holds for check in self.checks)

    @property
    def worst(self) -> Comparison | None:
        """The tool that comes nearest to its tolerance, or is furthest beyond; None without any."""
        return max(self.compared, key=_strain, default=None)

    def as_dict(self) -> dict[str, Any]:
        """Give the proof as plain values in mm, rounded, the same on every run; inf becomes None.

        ``deviation_mm`` and ``tolerance_mm`` are those of the tool that strains its tolerance most.
        """
        worst = self.worst
        frames = [
            {"advance_mm": _rounded(asked), "read_mm": _rounded(read), "strokes": strokes}
            for asked, read, strokes in self.frames
        ]
        return {
            "passed": self.passed,
            "deviation_mm": 0.0 if worst is None else _rounded(worst.deviation),
            "tolerance_mm": None if worst is None else _rounded(worst.asked.tolerance),
            "sampling_error_mm": SAMPLING,
            "tools": {tool.asked.name: _tool_dict(tool) for tool in self.compared},
            "checks": [
                {"name": check.name, "holds": check.holds, "found": check.found}
                for check in self.checks
            ],
            **({"frames": frames} if frames else {}),
            "sha256": self.sha256,
        }

    def require(self, file: str) -> None:
        """Raise FitError for ``file`` with all that does not hold, when the proof is not passed."""
        if self.passed:
            return
        wrong = [
            f"{tool.asked.name} is {tool.deviation:.3f} mm off (tolerance "
            f"{tool.asked.tolerance:g} mm){_worst_words(tool)}"
            for tool in self.compared
            if tool.deviation > tool.asked.tolerance
        ]
        wrong += [f"{check.name}: {check.found}" for check in self.checks if not check.holds]
        raise FitError(
            f"{file} does not do what was asked, and is not delivered: {'; '.join(wrong)}",
            remedy="Look at the profile's tolerance, numbers, bed, blade offset and compensation.",
        )


def prove(data: bytes, reading: Reading, asked: Sequence[Asked], limits: Limits) -> Proof:
    """Compare what ``reading`` of the bytes ``data`` comes to with what was ``asked``.

    All is compared and checked as it really happens on a machine with the ``limits``' faults. Where
    the file moves the cloth, ``asked`` and the pieces of ``limits`` lie on it as the machine counts
    in the first frame.
    """
    advances, faults = limits.advances or AskedAdvances(), limits.faults
    happening = happened(reading, faults)
    real = happening.reading
    tips = laid_out(tip_reading(real, limits.offsets, limits.headings), advances)
    compared = compare(asked, tips)
    checks: tuple[Check, ...] = (
        # A tool that is up may hang over the edge beside its carriage.
        check_envelope(replace(real, travel=()) if faults.has_offsets else real, limits.bed),
        check_travel(real, compared),
        check_order(reading, limits.order),
        check_end(reading, limits.put_away),
        check_coverage(compared),
    )
    if any(any(tool.spare) for tool in asked):
        checks += (check_waste(tips, asked, limits.outlines, limits.openings),)
    if limits.turned:
        checks += (check_turning(real, limits.turned, limits.step),)
    if limits.advances is not None or reading.advances:
        checks += (check_advances(reading, advances),)
    if limits.waits:
        checks += (check_waits(reading, limits.waits),)
    if faults.has_play:
        checks += (check_play(happening),)
    if faults.has_offsets:
        carriage = happened(reading, replace(faults, offsets={})).reading
        checks += (check_envelope(carriage, limits.bed, "carriage inside the bed"),)
    digest, holders = hashlib.sha256(data).hexdigest(), laid_out(real, advances)
    return Proof(compared, checks, digest, real, tips, holders, _frames(reading, advances))


def _frames(reading: Reading, asked: AskedAdvances) -> tuple[tuple[float, float, int], ...]:
    """Give the frames of a file that moves the cloth as it should."""
    found = [*merged(reading.advances)]
    if not found or len(found) != len(asked.distances):
        return ()
    bounds = [0, *(each.strokes for each in found), len(reading.strokes)]
    counts = [last - first for first, last in pairwise(bounds)]
    read = [0.0, *(each.distance * asked.scale for each in found)]
    frames = list(zip((0.0, *asked.distances), read, counts, strict=True))
    return tuple(frames if counts[0] else frames[1:])


def _strain(tool: Comparison) -> float:
    if tool.asked.tolerance > 0:
        return tool.deviation / tool.asked.tolerance
    return math.inf if tool.deviation > 0 else 0.0


def _worst_words(tool: Comparison) -> str:
    return "" if tool.worst_at is None else f" at {tool.worst_at[0]:.2f}, {tool.worst_at[1]:.2f}"


def _rounded(value: float) -> float | None:
    # Adding zero turns −0.0 into 0.0.
    return round(value, _DECIMALS) + 0.0 if math.isfinite(value) else None


def _tool_dict(tool: Comparison) -> dict[str, Any]:
    place = None if tool.worst_at is None else [_rounded(float(v)) for v in tool.worst_at]
    return {
        "number": tool.asked.number,
        "deviation_mm": _rounded(tool.deviation),
        "asked_to_cut_mm": _rounded(tool.asked_to_cut),
        "cut_to_asked_mm": _rounded(tool.cut_to_asked),
        "tolerance_mm": _rounded(tool.asked.tolerance),
        "strokes": tool.strokes,
        "length_mm": round(tool.length, 1),
        "worst_at": place,
    }
