"""Curves as drawn to closed, counter-clockwise, simple loops and what stays open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import reversed_chain
from cutpath.geometry.measure import signed_area
from cutpath.geometry.points import Floats
from cutpath.geometry.soundness import crossing_place
from cutpath.intake.healing.cleaning import Dropped, clean
from cutpath.intake.healing.joining import join
from cutpath.model import Curve, Finding, Sort

SHAPING = frozenset({Sort.UNSAID, Sort.OUTLINE, Sort.CUTOUT})
"""Sorts of curves that bound panels and their openings."""

_ROUNDING = 1e-3
"""Gaps up to this wide, mm, come from a file's last digit: closed like others, but not told."""


@dataclass(frozen=True, slots=True, eq=False)
class Healed:
    """``loops`` are closed, counter-clockwise and simple; ``open`` could not be closed.

    ``ends`` tells for each of ``open`` what was drawn at its first and at its last point.
    """

    loops: tuple[Curve, ...]
    open: tuple[Curve, ...]
    ends: tuple[tuple[Source, Source], ...] = ()


def heal(curves: Sequence[Curve], tolerance: float = 0.1) -> tuple[Healed, tuple[Finding, ...]]:
    """Clean ``curves``, join what meets within ``tolerance`` mm, and tell what was mended.

    Everything without length, doubled or overlapping is dropped. Only curves that may bound a
    panel (``SHAPING``) are joined, within one block, cutouts apart from outlines. Two ends that
    are joined move to the middle between them, so nothing moves by more than half of
    ``tolerance``. Where several meet, what has a free end is left out (a tick, a long line), and
    the rest goes on as straight as it can; panels that touch at a corner are told apart.

    Healing what is healed changes nothing. Raises InputError for numbers that are not finite, for
    a loop that crosses itself, and where too many curves lie together to tell.
    """
    loops: list[Curve] = []
    still_open: list[Curve] = []
    ends: list[tuple[Source, Source]] = []
    findings: list[Finding] = []
    for share in _shares(curves):
        kept, dropped = clean(share, tolerance)
        findings += _told(dropped, share)
        may_join = share[0].sort in SHAPING
        closed = [curve for curve in kept if curve.chain.closed]
        loose = [curve for curve in kept if not curve.chain.closed]
        if not may_join:
            loops += closed
            still_open += loose
            ends += [(curve.source, curve.source) for curve in loose]
            continue
        joined = join(loose, tolerance)
        findings += _bridged(joined.gaps, share)
        loops += [_sound(curve) for curve in (*closed, *joined.closed)]
        still_open += joined.open
        ends += joined.ends
    return Healed(tuple(loops), tuple(still_open), tuple(ends)), tuple(findings)


def _shares(curves: Sequence[Curve]) -> list[list[Curve]]:
    """Part curves by block and by what they are for; outlines and the unsaid go together."""
    shares: dict[tuple[str, Sort], list[Curve]] = {}
    for curve in curves:
        sort = Sort.OUTLINE if curve.sort is Sort.UNSAID else curve.sort
        shares.setdefault((curve.group, sort), []).append(curve)
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


def _bridged(gaps: Floats, curves: Sequence[Curve]) -> list[Finding]:
    gaps = gaps[gaps > _ROUNDING]
    if not len(gaps):
        return []
    noun = "gap" if len(gaps) == 1 else "gaps"
    widest = f"the widest {float(gaps.max()):.3f} mm; both ends moved to the middle"
    return [Finding(f"{len(gaps)} {noun} closed, {widest}", _first(curves))]


def _first(curves: Sequence[Curve]) -> Source:
    return replace(curves[0].source, entity="", layer="")
