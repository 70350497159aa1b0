"""The band of a seam's picture in which both edges keep their shape and are laid together."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.alignment import best_motion
from cutpath.geometry.chain import Chain, reversed_chain
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.points import Floats, Point, Points
from cutpath.geometry.transform import moved_points
from cutpath.seam_report import SeamReport
from cutpath.sheet.page import EDGE, FINE, HEAVY, Letters, Page, Pen, Place, arrow_head
from cutpath.sheet.seam_scale import edge_words
from cutpath.sheet.svg_lines import number
from cutpath.sheet.words import shortened, text_width

SAMPLES = 97
"""At as many places the walk compares both shapes."""
_FACTORS = (100, 50, 20, 10, 5, 2, 1)
_CALM = 1.5
_SEEN = 8.0
_SECOND = Pen(0.35, (2.2, 1.1))
_WORDS = Letters(2.5)


@dataclass(frozen=True, slots=True, eq=False)
class LaidTogether:
    """Evenly spaced points of both edges after the best rigid motion, (SAMPLES, 2) each.

    The first edge's chord lies along +x from the origin.
    """

    first: Points
    second: Points

    @property
    def gaps(self) -> Floats:
        """Give the distance between the edges at each place, mm."""
        return np.asarray(np.hypot(*(self.second - self.first).T))


def laid_together(first: Chain, second: Chain, *, reverse: bool) -> LaidTogether:
    """Bring ``second`` onto ``first``, turned round with ``reverse`` and turned over without.

    Edges that run against each other are sewn with both panels face up; those that run along each
    other meet only when one panel is turned over.
    """
    own = _sampled(first)
    other = _sampled(reversed_chain(second) if reverse else second)
    other = moved_points(other, best_motion(other, own, mirrored=not reverse))
    chord = own[-1] - own[0]
    angle = math.atan2(float(chord[1]), float(chord[0]))
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return LaidTogether((own - own[0]) @ turn, (other - own[0]) @ turn)


def _sampled(chain: Chain) -> Points:
    return points_at_stations(chain, np.linspace(0.0, length(chain), SAMPLES))[0]


def draw_shapes(
    page: Page, report: SeamReport, laid: LaidTogether, top: float, height: float
) -> None:
    """Draw both shapes in the band from ``top`` down."""
    left, right = 10.0, page.width - 10.0
    words_at = left + 0.72 * (right - left)
    away = laid.second - laid.first
    worst = int(laid.gaps.argmax())
    scale, factor = _fitted(laid, words_at - left - 8.0, height - 8.0)
    drawn = laid.first + factor * away
    both = np.concatenate([laid.first, drawn])
    low, high = both.min(axis=0), both.max(axis=0)
    shift = np.array([left + 4.0, top + height / 2]) - scale * np.array(
        [low[0], -(low[1] + high[1]) / 2]
    )
    first, second = (points * [scale, -scale] + shift for points in (laid.first, drawn))
    page.layer("shapes")
    page.path(_path(first), EDGE)
    page.path(_path(second), _SECOND)
    page.layer("gap")
    is_out = report.seam.shape_limit is not None and report.shape.gap > report.seam.shape_limit
    ends = (_place(first[worst]), _place(second[worst]))
    _gap(page, ends, f"{report.shape.gap:.1f}", HEAVY if is_out else FINE)
    _say(page, report, (words_at, top + height / 2 - 8.0), right - words_at, factor)


def _gap(page: Page, ends: tuple[Place, Place], size: str, pen: Pen) -> None:
    """Dimension the largest gap between its ends; a small one gets a ring that shows where."""
    (x0, y0), (x1, y1) = ends
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    wide = math.hypot(x1 - x0, y1 - y0)
    page.line(*ends, pen)
    if wide < _SEEN + 1.0:
        reach = max(1.8, wide / 2 + 0.9)
        page.ring(middle, reach, FINE, fill="none")
        page.centred_words(size, (middle[0], middle[1] - reach - 2.0), Letters(2.5, bold=True))
        return
    along = ((x1 - x0) / wide, (y1 - y0) / wide)
    page.filled(arrow_head(ends[1], along, 2.4))
    page.filled(arrow_head(ends[0], (-along[0], -along[1]), 2.4))
    page.backed_words(size, middle, Letters(2.5, bold=True))


def _place(point: Point) -> Place:
    x, y = point.tolist()
    return (x, y)


def _fitted(laid: LaidTogether, width: float, height: float) -> tuple[float, int]:
    """Give paper per cloth and the factor for gaps."""
    away = laid.second - laid.first
    for factor in _FACTORS:
        both = np.concatenate([laid.first, laid.first + factor * away])
        box = np.maximum(both.max(axis=0) - both.min(axis=0), 1e-9)
        scale = float(min(width / box[0], height / box[1]))
        if float(laid.gaps.max()) * factor * scale <= _SEEN and _CALM * factor * scale <= _SEEN / 2:
            break
    return scale, factor


def _say(page: Page, report: SeamReport, at: tuple[float, float], room: float, factor: int) -> None:
    x, y = at
    seam, shape = report.seam, report.shape
    for pen, name in ((EDGE, seam.first), (_SECOND, seam.second)):
        page.path(f"M{number(x)} {number(y - 0.9)}h12", pen)
        page.words(shortened(edge_words(name), room - 14.0, 2.5), (x + 14.0, y), _WORDS)
        y += 4.2
    limit = "no limit set" if seam.shape_limit is None else f"limit {seam.shape_limit:.1f} mm"
    gap = f"largest gap {shape.gap:.1f} mm"
    page.words(gap, (x, y + 0.6), Letters(2.9, bold=True))
    if seam.shape_limit is not None and shape.gap > seam.shape_limit:
        page.flag("OUT", (x + text_width(gap, 2.9, bold=True) + 6.0, y - 0.4), 2.5)
    where = f"{shape.station:.0f} mm along the seam; {limit}"
    page.words(shortened(where, room, 2.5), (x, y + 4.8), _WORDS)
    drawn = f"gaps drawn {factor} times" if factor > 1 else "gaps drawn as they are"
    page.words(drawn, (x, y + 8.6), _WORDS)


def _path(points: Floats) -> str:
    places = [f"{number(x)} {number(y)}" for x, y in points.tolist()]
    return "M" + "L".join(places)
