"""The independent test of a lay: what fails it is never cut.

It looks at the laid cut lines themselves, in float64 and by another library than the one that
pieces were laid with.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutpath.geometry.clearance import close_outlines, over_boxes
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.laid import Lay
from cutpath.model import Piece

_OFF = 0.005
"""What a place may be off by, mm: hand-written lays give three decimals."""
_EDGE_OFF = 0.06
"""How far over the edge of its cloth a piece may lie: no cloth's edge is known as well."""
_LEVEL_OFF = 0.05
_ANGLE_OFF = math.radians(0.1) + 1e-9
"""How far the warp may lie from the roll: as straight as a grain line is traced."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a lay, in words, and the piece to look at."""

    words: str
    piece: str


def faults_of(
    lay: Lay,
    laid: Sequence[Piece],
    wanted: Sequence[Piece],
    turns: Sequence[float],
    repeat: float | None = None,
) -> tuple[Fault, ...]:
    """Give what is wrong with a lay; nothing when it can be cut.

    ``laid[i]`` is the piece at ``lay.places[i]`` in its stock's coordinates; ``wanted`` are the
    pieces as they were made; ``turns`` are allowed from the warp along the roll, radians;
    ``repeat`` is the pattern's along the roll, mm.
    """
    return (
        *_count_faults(lay, wanted),
        *_shape_faults(laid, wanted),
        *_turn_faults(lay, laid, turns),
        *_cloth_faults(lay, laid),
        *_gap_faults(lay, laid),
        *_level_faults(lay, laid, repeat),
    )


def _count_faults(lay: Lay, wanted: Sequence[Piece]) -> Iterator[Fault]:
    there = Counter(place.piece for place in lay.places)
    for name, count in there.items():
        if count > 1:
            yield Fault(f"piece '{name}' is laid {count} times", name)
    for piece in wanted:
        if piece.name not in there:
            yield Fault(f"piece '{piece.name}' is not laid", piece.name)


def _shape_faults(laid: Sequence[Piece], wanted: Sequence[Piece]) -> Iterator[Fault]:
    by_name = {piece.name: piece for piece in wanted}
    for piece in laid:
        was = by_name.get(piece.name)
        if was is None:
            yield Fault(f"piece '{piece.name}' is none of this cloth's", piece.name)
        elif (
            abs(signed_area(was.cut) - signed_area(piece.cut)) > 1e-6 * abs(signed_area(was.cut))
            or abs(length(was.cut) - length(piece.cut)) > 1e-6 * length(was.cut)
            or was.mirrored != piece.mirrored
        ):
            words = f"piece '{piece.name}' is not as it was made: stretched or mirrored"
            yield Fault(words, piece.name)


def _turn_faults(lay: Lay, laid: Sequence[Piece], turns: Sequence[float]) -> Iterator[Fault]:
    for place, piece in zip(lay.places, laid, strict=True):
        # The warp as it really lies; where nobody said, the turn from the drawing has to do.
        lies = place.turn if piece.grain is None else piece.grain
        if all(abs(math.sin((lies - turn) / 2)) > math.sin(_ANGLE_OFF / 2) for turn in turns):
            allowed = ", ".join(f"{math.degrees(turn):g}" for turn in turns)
            yield Fault(
                f"piece '{piece.name}' lies {math.degrees(lies) % 360:.3g}° from the warp; "
                f"its cloth allows {allowed}",
                piece.name,
            )


def _cloth_faults(lay: Lay, laid: Sequence[Piece]) -> Iterator[Fault]:
    for number, stock in enumerate(lay.stocks):
        here = _on(lay, laid, number)
        for piece in here:
            low_x, low_y, high_x, high_y = bounds(piece.cut)
            far = math.inf if stock.length is None else stock.length
            beyond = max(-low_x, high_x - far, stock.low - low_y, high_y - stock.high)
            if beyond > _EDGE_OFF:
                yield Fault(
                    f"piece '{piece.name}' lies {beyond:.2f} mm off '{stock.name}'", piece.name
                )
        for index, flaw in over_boxes([piece.cut for piece in here], stock.flaws):
            name = here[index].name
            yield Fault(f"piece '{name}' lies over flaw {flaw + 1} of '{stock.name}'", name)


def _gap_faults(lay: Lay, laid: Sequence[Piece]) -> Iterator[Fault]:
    for number in range(len(lay.stocks)):
        here = _on(lay, laid, number)
        if len(here) < 2:
            continue
        cuts, openings = [piece.cut for piece in here], [piece.inner_cuts for piece in here]
        for i, j, gap in close_outlines(cuts, openings, lay.gap - _OFF):
            far = "overlap or touch" if gap <= 0 else f"are {gap:.2f} mm apart"
            one, other = here[i].name, here[j].name
            yield Fault(f"pieces '{one}' and '{other}' {far}; the gap is {lay.gap:g} mm", other)


def _level_faults(lay: Lay, laid: Sequence[Piece], repeat: float | None) -> Iterator[Fault]:
    kept = [
        (place.stock, float(piece.level[0]), piece.name)
        for place, piece in zip(lay.places, laid, strict=True)
        if piece.level is not None
    ]
    for stock, x, name in kept[1:]:
        off = x - kept[0][1]
        if repeat is not None:
            off -= repeat * round(off / repeat)
        if stock != kept[0][0] or abs(off) > _LEVEL_OFF:
            far = "on another length" if stock != kept[0][0] else f"{abs(off):.2f} mm off"
            yield Fault(f"piece '{name}' is not level with '{kept[0][2]}': {far}", name)


def _on(lay: Lay, laid: Sequence[Piece], number: int) -> list[Piece]:
    """Give the laid pieces that lie on stock ``number``."""
    return [piece for place, piece in zip(lay.places, laid, strict=True) if place.stock == number]
