"""Curves as drawn to closed, counter-clockwise, simple loops and what stays open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import reversed_chain
from cutpath.geometry.measure import length, signed_area
from cutpath.geometry.soundness import crossing_place
from cutpath.intake.healing.cleaning import Dropped, clean
from cutpath.intake.healing.joining import LONGEST_TICK, join, nearest_gap
from cutpath.model import Curve, Finding, Sort

SHAPING = frozenset({Sort.UNSAID, Sort.OUTLINE, Sort.CUTOUT})
"""Sorts of curves that bound panels and their openings."""
_NEAR_MISS = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Healed:
    """``loops`` are closed, counter-clockwise and simple; ``open`` could not be closed."""

    loops: tuple[Curve, ...]
    open: tuple[Curve, ...]


def heal(curves: Sequence[Curve], tolerance: float = 0.1) -> tuple[Healed, tuple[Finding, ...]]:
    """Clean ``curves``, join what meets within ``tolerance`` mm, and tell what was mended.

    Only curves that may bound a panel (``SHAPING``) are joined, within one block; the others are
    passed on as they are. No end moves further than to the middle of the ends that it meets.
    Raises InputError for a loop that crosses itself.
    """
    loops: list[Curve] = []
    still_open: list[Curve] = []
    findings: list[Finding] = []
    for share in _shares([curve for curve in curves if curve.sort in SHAPING]):
        kept, dropped = clean(share)
        findings += _told(dropped, share)
        loops += [curve for curve in kept if curve.chain.closed]
        joined = join([curve for curve in kept if not curve.chain.closed], tolerance)
        if joined.bridged:
            findings.append(_bridged(joined.bridged, joined.moved, share))
        loops += joined.closed
        still_open += joined.open
    others = [curve for curve in curves if curve.sort not in SHAPING]
    sound = [_sound(curve) for curve in loops]
    loops_out = (*sound, *(curve for curve in others if curve.chain.closed))
    open_out = (*still_open, *(curve for curve in others if not curve.chain.closed))
    return Healed(loops_out, open_out), tuple(findings)


def _shares(curves: Sequence[Curve]) -> list[list[Curve]]:
    """Part curves by block, and cutouts from outlines: neither joins across."""
    shares: dict[tuple[str, bool], list[Curve]] = {}
    for curve in curves:
        shares.setdefault((curve.group, curve.sort is Sort.CUTOUT), []).append(curve)
    return list(shares.values())


def _sound(curve: Curve) -> Curve:
    """Give the loop counter-clockwise. Raises InputError where it crosses itself."""
    place = crossing_place(curve.chain)
    if place is not None:
        raise InputError(
            "the outline crosses or touches itself here",
            replace(curve.source, xy=place),
            "Redraw it as one line that goes once around the panel.",
        )
    if signed_area(curve.chain) >= 0:
        return curve
    return replace(curve, chain=reversed_chain(curve.chain))


def require_closed(healed: Healed, tolerance: float) -> None:
    """Raise InputError for an outline that has a gap: its size, both ends, and the mend.

    Short open curves (marks) and curves that bound nothing are not its business.
    """
    suspects = [
        curve
        for curve in healed.open
        if curve.sort in SHAPING and length(curve.chain) > LONGEST_TICK
    ]
    for curve in suspects:
        gap, a, b, other = nearest_gap(curve, suspects)
        where = replace(curve.source, xy=(float(a[0]), float(a[1])))
        beyond = "" if other is curve else f" of {other.source.entity}"
        raise InputError(
            f"the outline is open: the nearest other end{beyond} is {gap:.2f} mm away, at "
            f"({b[0]:.2f}, {b[1]:.2f}) mm; gaps up to {tolerance:g} mm are closed",
            where,
            _mend(gap),
        )


def _mend(gap: float) -> str:
    if gap <= _NEAR_MISS:
        return (
            f"Close it in the drawing, or raise join (--join {gap * 1.1:.2f}mm) if it is one line."
        )
    return "Close it in the drawing; a line that is no outline belongs on a layer of its own (pen)."


def _first(curves: Sequence[Curve]) -> Source:
    return replace(curves[0].source, entity="", layer="")


def _told(dropped: Dropped, curves: Sequence[Curve]) -> list[Finding]:
    words = [
        (dropped.empty, "without length dropped"),
        (dropped.doubled, "drawn twice dropped"),
        (dropped.overlapped, "lying on others merged into them"),
    ]
    return [
        Finding(f"{count} {'line' if count == 1 else 'lines'} {deed}", _first(curves))
        for count, deed in words
        if count
    ]


def _bridged(count: int, moved: float, curves: Sequence[Curve]) -> Finding:
    noun = "gap" if count == 1 else "gaps"
    told = f"{count} {noun} closed, no end moved by more than {moved:.3f} mm"
    return Finding(told, _first(curves))
