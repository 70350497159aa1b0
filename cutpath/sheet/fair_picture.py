"""The picture of one edge laid fair: its curvature comb, and how far it lies from each point."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.chain import Chain
from cutpath.geometry.curvature import curvatures_at
from cutpath.geometry.measure import length, points_at_stations
from cutpath.geometry.nearest import nearest
from cutpath.geometry.points import Floats, Point, Points, cross, left_of
from cutpath.revision import Faired
from cutpath.sheet.page import (
    BLACK,
    DOTTED,
    EDGE,
    FINE,
    HAIR,
    Letters,
    Page,
    Pen,
    Place,
)
from cutpath.sheet.seam_scale import edge_words
from cutpath.sheet.svg_lines import number
from cutpath.sheet.words import shortened, signed

_WIDTH, _HEIGHT, _MARGIN = 297.0, 210.0, 10.0
"""A4 landscape (ISO 216)."""
_LEFT, _RIGHT = 34.0, 287.0
_COMB = (26.0, 98.0)
_BENDS = (106.0, 150.0)
_MOVES = (158.0, 196.0)
_TEETH = 80
_TOOTH = 16.0
_WORDS = Letters(2.5)
_SHAKY = Pen(0.2, colour="#888888")
_DOT = 0.35
_ROUND_RADII = (
    10, 20, 50, 100, 200, 300, 500, 1000, 2000, 3000, 5000, 10_000, 20_000, 50_000, 100_000,
)  # fmt: skip


def draw_fair(faired: Faired, job: str = "") -> str:
    """Give the picture of a fair edge as SVG text for an A4 page, the same for the same input.

    From top to bottom: the edge with its digitised points and the comb of its curvature (teeth
    stand on the outside of the bend, as long as it is sharp); the curvature before and after along
    the edge; and how far each digitised point lies beside the fair curve, between its limits.
    """
    title = f"{edge_words(faired.edge)} laid fair within {faired.within:g} mm"
    page = Page(_WIDTH, _HEIGHT, title)
    page.layer("head")
    page.words(shortened(title, 190.0, 5.0), (_MARGIN, _MARGIN + 4.5), Letters(5.0, bold=True))
    page.words(
        shortened(job, 80.0, 3.0), (_WIDTH - _MARGIN, _MARGIN + 4.0), Letters(3.0, anchor="end")
    )
    points = _digitised(faired)
    heads = (
        (_COMB, "The edge to scale, dots where it was digitised; teeth: the curvature now."),
        (_BENDS, "Curvature along the edge. Thin: as digitised; heavy: laid fair. Up: bends left."),
        (_MOVES, "Digitised points beside the fair curve, mm. Up: left of it. Dotted: the limit."),
    )
    page.layer("headings")
    for (top, _), words in heads:
        page.line((_MARGIN, top - 6.5), (_WIDTH - _MARGIN, top - 6.5), HAIR)
        page.words(words, (_MARGIN, top - 2.7), Letters(2.6, bold=True))
    _draw_comb(page, faired, points)
    _draw_bends(page, faired)
    _draw_moves(page, faired, points)
    _draw_numbers(page, faired)
    return page.text()


def _digitised(faired: Faired) -> Points:
    return faired.digitised.points


@dataclass(frozen=True, slots=True, eq=False)
class _Laid:
    """From cloth to paper: the chord turned level, scaled to fit, y down."""

    origin: Point
    turn: Floats
    scale: float
    shift: Point

    def on_paper(self, points: Points) -> Points:
        """Give places on paper of (n, 2) places on cloth."""
        level = (points - self.origin) @ self.turn
        return np.asarray(level * [self.scale, -self.scale] + self.shift)


def _fitted(chain: Chain) -> _Laid:
    chord = chain.last - chain.first
    angle = math.atan2(float(chord[1]), float(chord[0]))
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    level = (_sampled(chain, 200)[0] - chain.first) @ turn
    low, high = level.min(axis=0), level.max(axis=0)
    size = np.maximum(high - low, 1e-9)
    top, bottom = _COMB
    room = (_RIGHT - _MARGIN - 4.0, bottom - top - 2 * _TOOTH - 4.0)
    scale = float(min(room[0] / size[0], room[1] / size[1]))
    middle = np.array([(_MARGIN + _RIGHT) / 2, (top + bottom) / 2])
    shift = middle - np.array([1, -1]) * scale * (low + high) / 2
    return _Laid(chain.first, turn, scale, shift)


def _sampled(chain: Chain, count: int) -> tuple[Points, Floats, Floats]:
    """Give places, unit tangents and stations, evenly spaced."""
    stations = np.linspace(0.0, length(chain), count)
    places, along = points_at_stations(chain, stations)
    return places, along, stations


def _draw_comb(page: Page, faired: Faired, points: Points) -> None:
    laid = _fitted(faired.chain)
    places, along, stations = _sampled(faired.chain, _TEETH + 1)
    bend = curvatures_at(faired.chain, stations)
    most = float(np.abs(bend).max())
    page.layer("comb")
    if most > 0:
        # To the right of travel where the curve bends left: outside of the bend.
        reach = -left_of(along) * (bend / most * _TOOTH / laid.scale)[:, None]
        tips, feet = laid.on_paper(places + reach), laid.on_paper(places)
        for foot, tip in zip(feet, tips, strict=True):
            page.line(_place(foot), _place(tip), HAIR)
        page.path(_path(tips), FINE)
    page.layer("curve")
    page.path(_path(laid.on_paper(_sampled(faired.chain, 400)[0])), EDGE)
    page.layer("digitised")
    for x, y in laid.on_paper(points).tolist():
        page.ring((x, y), _DOT, Pen(0.1), fill="white")


def _draw_bends(page: Page, faired: Faired) -> None:
    top, bottom = _BENDS
    _, _, stations = _sampled(faired.chain, 300)
    after = curvatures_at(faired.chain, stations)
    at, before = _shaky_bends(faired.digitised)
    most = max(float(np.abs(after).max()) * 1.6, 1e-7)
    zero, high = (top + bottom) / 2, (bottom - top) / 2
    whole, old = length(faired.chain), length(faired.digitised)
    page.layer("curvature")
    page.line((_LEFT, zero), (_RIGHT, zero), FINE)
    if len(at):
        share = np.clip(before / most, -1, 1)
        x = _LEFT + at / old * (_RIGHT - _LEFT)
        page.path(_path(np.column_stack([x, zero - high * share])), _SHAKY)
    x = _LEFT + stations / whole * (_RIGHT - _LEFT)
    page.path(_path(np.column_stack([x, zero - high * after / most])), EDGE)
    radius = next((each for each in _ROUND_RADII if 1 / each <= most * 0.95), None)
    if radius is not None:
        for side in (-1, 1):
            y = zero - side * high / radius / most
            page.line((_LEFT, y), (_RIGHT, y), DOTTED)
            page.words(f"r {radius:,} mm", (_LEFT - 1.5, y + 0.9), Letters(2.3, anchor="end"))
    page.words("straight", (_LEFT - 1.5, zero + 0.9), Letters(2.3, anchor="end"))


def _shaky_bends(chain: Chain) -> tuple[Floats, Floats]:
    """Give stations and curvature at the inner joints: that of the circle through three points."""
    a, b, c = chain.points[:-2], chain.points[1:-1], chain.points[2:]
    sides = [np.hypot(*(q - p).T) for p, q in ((a, b), (b, c), (a, c))]
    around = np.maximum(sides[0] * sides[1] * sides[2], 1e-12)
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(chain.points, axis=0).T))])
    return at[1:-1], np.asarray(2 * cross(b - a, c - a) / around)


def _draw_moves(page: Page, faired: Faired, points: Points) -> None:
    top, bottom = _MOVES
    zero, high = (top + bottom) / 2, (bottom - top) / 2 * 0.8
    on = nearest(faired.chain, points)
    _, along = points_at_stations(faired.chain, on.station)
    side = cross(along, points - on.point)
    x = _LEFT + on.station / length(faired.chain) * (_RIGHT - _LEFT)
    y = zero - high * side / faired.within
    page.layer("moves")
    page.line((_LEFT, zero), (_RIGHT, zero), FINE)
    for sign in (-1, 1):
        level = zero - sign * high
        page.line((_LEFT, level), (_RIGHT, level), DOTTED)
        label = f"{signed(sign * faired.within, 2)} mm"
        page.words(label, (_LEFT - 1.5, level + 0.9), Letters(2.3, anchor="end"))
    for left, height in zip(x.tolist(), y.tolist(), strict=True):
        page.line((left, zero), (left, height), HAIR)
        page.ring((left, height), 0.4, Pen(0.1), fill=BLACK)


def _draw_numbers(page: Page, faired: Faired) -> None:
    radius = faired.smallest_radius
    bend = "straight" if math.isinf(radius) else f"smallest radius {radius:,.0f} mm"
    words = (
        f"Largest distance {faired.largest:.2f} mm at {faired.at:.0f} mm along, "
        f"{faired.typical:.2f} mm as a rule; inflections {faired.inflections_before} before, "
        f"{faired.inflections} now; {bend}; marks shift by up to {faired.mark_shift:.2f} mm."
    )
    page.layer("numbers")
    page.words(shortened(words, _WIDTH - 2 * _MARGIN, 2.7), (_MARGIN, 203.0), Letters(2.7))


def _place(point: Point) -> Place:
    x, y = point.tolist()
    return (x, y)


def _path(points: Floats) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points.tolist())
