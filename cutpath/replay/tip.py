"""Where a drag blade's tip goes when its pivot goes where the file says.

The tip trails its pivot at the blade offset d. While the pivot runs straight, the angle ψ from the
blade's heading to the way it goes falls as tan(ψ/2) = tan(ψ₀/2) exp(−s/d) (the tractrix; MathWorld
"Tractrix", from memory; check K2: from 90° to 1° in 4.74135 d). Arcs are followed on short chords.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.flatten import flatten
from cutpath.moves import Reading, Stroke

_CHORD_ERROR = 0.0002  # mm, of the pivot's arcs
_TIP_ERROR = 0.0005  # mm, of the tip's curve between the points given
_STEADY = 1e-9  # radians from which the blade is taken to trail straight
_WIDEST = math.radians(1.0)  # of one chord on an arc: the swing about a corner is a small arc


class Blade:
    """A drag blade: its offset in mm, and its heading (from tip to pivot) as it was last left."""

    def __init__(self, offset: float, heading: float = 0.0) -> None:
        self.offset = offset
        self.heading = heading

    def follow(self, pivot: Chain) -> Chain:
        """Give the tip's way while the pivot goes along ``pivot``; the heading is kept after it."""
        points = _fine(pivot, self.offset).tolist()
        tip = [self._tip(points[0])]
        for start, end in itertools.pairwise(points):
            self._pull(start, end, tip)
        return make_chain(np.array(tip if len(tip) > 1 else tip * 2))

    def _tip(self, pivot: Sequence[float]) -> tuple[float, float]:
        return (
            pivot[0] - self.offset * math.cos(self.heading),
            pivot[1] - self.offset * math.sin(self.heading),
        )

    def _pull(
        self, start: Sequence[float], end: Sequence[float], tip: list[tuple[float, float]]
    ) -> None:
        way_x, way_y = end[0] - start[0], end[1] - start[1]
        size = math.hypot(way_x, way_y)
        if size == 0:
            return
        course = math.atan2(way_y, way_x)
        psi = math.remainder(course - self.heading, 2 * math.pi)
        offset, done = self.offset, 0.0
        while done < size:
            bend = abs(math.sin(psi))
            # A step h turns the blade by h sin ψ / d, which bows the tip's way by h / 8 of that.
            step = math.sqrt(8 * offset * _TIP_ERROR / bend) if bend > _STEADY else size
            step = min(step, size - done)
            done = size if size - done - step < 1e-9 else done + step
            psi = _turned(psi, step / offset)
            heading, share = course - psi, done / size
            x, y = start[0] + way_x * share, start[1] + way_y * share
            tip.append((x - offset * math.cos(heading), y - offset * math.sin(heading)))
        self.heading = course - psi


def _turned(psi: float, ratio: float) -> float:
    """Give ψ after the pivot went ``ratio`` offsets straight on; a blade pushed tip first stays."""
    if abs(psi) > math.pi - 1e-12:
        return psi
    return 2 * math.atan(math.tan(psi / 2) * math.exp(-ratio))


def _fine(pivot: Chain, offset: float) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Give the pivot's points, arcs in chords short enough for the tip to follow the arc."""
    tolerance = _CHORD_ERROR
    if pivot.is_arc.any():
        # A chord of angle w is off by r w² / 8: keep w small on the swing about a corner too.
        tolerance = min(tolerance, offset * _WIDEST**2 / 8)
    points = flatten(pivot, tolerance).points
    return np.concatenate([points, points[:1]]) if pivot.closed else points


def tip_reading(
    reading: Reading, offsets: Mapping[int, float], headings: Mapping[int, float] | None = None
) -> Reading:
    """Give ``reading`` with the strokes of drag blades as their tips go.

    ``offsets`` gives the blade offset in mm by tool number, ``headings`` where each blade points
    (from tip to pivot, radians) when the file begins, 0 where it is not said. A lifted blade keeps
    its heading. Strokes of other tools stay as they are.
    """
    known = headings or {}
    blades = {
        tool: Blade(offset, known.get(tool, 0.0)) for tool, offset in offsets.items() if offset > 0
    }
    strokes: list[Stroke] = []
    for stroke in reading.strokes:
        blade = blades.get(stroke.tool)
        strokes.append(
            stroke if blade is None else replace(stroke, chain=blade.follow(stroke.chain))
        )
    return replace(reading, strokes=tuple(strokes))
