"""What is cut in the waste for the sake of the line: lead-ins, and cuts that run past corners."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from cutpath.geometry.chain import Chain, joined, line, make_chain
from cutpath.geometry.flatten import arc_geometry
from cutpath.geometry.measure import end_tangents, length, signed_area
from cutpath.geometry.points import Point, left_of, turn_between
from cutpath.geometry.splitting import between_joints
from cutpath.geometry.swept import length_inside
from cutpath.model import Feature

_JOINT = 1e-9
_SHARES = (1.0, 0.7, 0.5, 0.35, 0.25, 0.15)
"""How much shorter lead-ins are tried."""
_GRAZE = 0.01
"""mm of a lead-in that may seem to lie in the piece, where it meets the line."""


def waste_side(chain: Chain, feature: Feature) -> int:
    """Tell where the waste lies: +1 left of travel, −1 right, 0 where no side is waste.

    Outside a piece's outline, inside its openings.
    """
    if not chain.closed or feature not in {Feature.OUTLINE, Feature.INNER}:
        return 0
    is_left_inside = signed_area(chain) > 0
    return 1 if is_left_inside == (feature is Feature.INNER) else -1


def lead_in(run: Chain, reach: float, side: int) -> Chain:
    """Give a quarter of a circle that comes out of the waste, ``reach`` mm off, onto ``run``."""
    ahead, _ = end_tangents(run)
    away = side * left_of(ahead)
    start = run.first + reach * (away - ahead)
    # About a centre in the waste: to the left where the waste is on the left.
    return make_chain(np.stack([start, run.first]), [side * math.tan(math.pi / 8)])


def clear_lead_in(run: Chain, reach: float, side: int, line: Chain) -> Chain | None:
    """Give the lead-in of ``run``, shorter where the waste beside the closed ``line`` is narrow.

    None where there is no room at all, as in a slit: the cut begins on its line then.
    """
    is_around = (signed_area(line) > 0) == (side > 0)
    for share in _SHARES:
        lead = lead_in(run, reach * share, side)
        inside = length_inside(lead, line)
        in_piece = length(lead) - inside if is_around else inside
        if in_piece < _GRAZE:
            return lead
    return None


def straight_parts(run: Chain, least_radius: float, tolerance: float) -> list[Chain]:
    """Cut ``run`` so that arcs tighter than ``least_radius`` become straight parts of their own.

    Their chords stray by half of ``tolerance`` at most.
    """
    radius = arc_geometry(run)[1]
    tight = run.is_arc & (np.nan_to_num(radius, nan=np.inf) < least_radius)
    parts: list[Chain] = []
    first = 0
    for row in [*np.flatnonzero(tight).tolist(), len(run)]:
        if row > first:
            parts.append(between_joints(run, first, row))
        if row < len(run):
            parts += _chords(run, row, float(radius[row]), tolerance / 2)
        first = row + 1
    return parts


def _chords(run: Chain, row: int, radius: float, sagitta: float) -> list[Chain]:
    # Sagitta s = r (1 − cos(θ/2)) (circle geometry).
    step = 2 * math.acos(max(1 - sagitta / radius, -1.0))
    sweep = 4 * math.atan(float(run.bulges[row]))
    count = max(1, math.ceil(abs(sweep) / step - _JOINT))
    center = arc_geometry(run)[0][row]
    spoke = run.starts[row] - center
    angles = sweep * np.arange(count + 1) / count
    cos, sin = np.cos(angles), np.sin(angles)
    points = center + np.stack(
        [cos * spoke[0] - sin * spoke[1], sin * spoke[0] + cos * spoke[1]], axis=1
    )
    points[0], points[-1] = run.starts[row], run.ends[row]
    return [line(a, b) for a, b in pairwise(points)]


def run_past(parts: list[Chain], overlap: float, side: int) -> list[Chain]:
    """Let ``parts`` of one cut run ``overlap`` mm past the corners between them, into the waste.

    Where the line turns away from the waste nothing lies beyond the corner but the piece: there
    nothing is added, nor where no side is waste.
    """
    if not side or overlap <= 0 or len(parts) < 2:
        return parts
    out = []
    for index, part in enumerate(parts):
        ahead, behind = end_tangents(part)
        pieces = [part]
        if index + 1 < len(parts) and _turn(behind, parts[index + 1], 0) * side < 0:
            pieces.append(line(part.last, part.last + overlap * behind))
        if index and _turn(ahead, parts[index - 1], 1) * side < 0:
            pieces.insert(0, line(part.first - overlap * ahead, part.first))
        out.append(joined(pieces))
    return out


def _turn(own: Point, other: Chain, end: int) -> float:
    """Give the turn at the corner with ``other``: with what follows (0) or what went before (1)."""
    theirs = end_tangents(other)[end]
    return float(turn_between(own, theirs) if end == 0 else turn_between(theirs, own))
