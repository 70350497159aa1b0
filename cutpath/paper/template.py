"""One pattern, ready to be laid on paper: its lines, and words that a sewer needs on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.chain import Chain, circle, line
from cutpath.geometry.measure import bounds, length, points_at_stations
from cutpath.geometry.points import left_of
from cutpath.geometry.transform import Matrix, moved_points, transformed
from cutpath.model import Piece
from cutpath.paper.page import Drawing, Line, Stroke, Words
from cutpath.settings.panel_plan import PanelPlan

_LETTER = 5.0
_RING = 4.2
_INSIDE = 11.0
"""How far inside the stitch line a seam's letter stands, mm."""
_WIDTHS = 3.0
_NARROW = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class Template:
    """One pattern in its own coordinates, mm; ``outline`` is the outermost closed line.

    ``details`` are small things that a join between sheets should not run through.
    """

    name: str
    outline: Chain
    drawing: Drawing
    details: tuple[tuple[float, float, float, float], ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """Which lines are drawn."""

    cut: bool = True
    net: bool = True


def template_of(
    piece: Piece, plan: PanelPlan, letters: Sequence[tuple[str, str]], shown: Shown
) -> Template:
    """Make the template of a panel's piece; ``letters`` are (seam letter, edge name)."""
    strokes = [Stroke(Line.PEN, chain) for chain in piece.pen]
    strokes += [Stroke(Line.LETTERING, chain) for chain in piece.lettering]
    if shown.net:
        strokes.append(Stroke(Line.NET, piece.net))
    if shown.cut:
        strokes.append(Stroke(Line.CUT, piece.cut))
        strokes += [Stroke(Line.CUT, loop) for loop in piece.inner_cuts]
        strokes += [Stroke(Line.MARK, notch) for notch in piece.notches]
    else:
        strokes += [Stroke(Line.MARK, tick) for tick in _ticks(plan)]
    strokes += [Stroke(Line.MARK, circle(xy, 1.5)) for xy in piece.drills]
    words: list[Words] = []
    for letter, edge in letters:
        ring, word = _ringed(plan, letter, edge)
        strokes.append(Stroke(Line.MARK, ring))
        words.append(word)
    if shown.cut:
        words += _widths(plan)
    words += _mark_names(plan)
    details = [bounds(chain) for chain in piece.notches] + [bounds(c) for c in piece.lettering]
    outline = piece.cut if shown.cut else piece.net
    drawing = Drawing(tuple(strokes), tuple(words))
    return Template(_name(plan), outline, drawing, tuple(details))


def _name(plan: PanelPlan) -> str:
    return plan.panel.name


def _ringed(plan: PanelPlan, letter: str, edge: str) -> tuple[Chain, Words]:
    chain = plan.panel.edge(edge).chain
    at, along = points_at_stations(chain, np.array([length(chain) / 2 + 14.0]))
    # The outline runs counter-clockwise: inside lies to the left.
    middle = at[0] + _INSIDE * left_of(along)[0]
    ring = circle(middle, _RING + 0.9 * (len(letter) - 1))
    return ring, Words(letter, middle - np.array([0.0, 0.36 * _LETTER]), _LETTER, bold=True)


def _widths(plan: PanelPlan) -> list[Words]:
    """Write each allowance's width beside its edge, read along it."""
    out = []
    for edge, allowance in zip(plan.panel.edges, plan.allowances, strict=True):
        size = min(_WIDTHS, 0.45 * allowance.width)
        if allowance.width < _NARROW or length(edge.chain) < 30.0:
            continue
        at, along = points_at_stations(edge.chain, np.array([length(edge.chain) / 2 - 16.0]))
        middle = at[0] - (allowance.width / 2) * left_of(along)[0]
        angle = math.atan2(along[0, 1], along[0, 0])
        if abs(angle) > math.pi / 2 + 1e-9:
            angle -= math.copysign(math.pi, angle)
        drop = 0.36 * size * np.array([math.sin(angle), -math.cos(angle)])
        text = f"{allowance.finish} {allowance.width:g} mm"
        out.append(Words(text, middle + drop, size, angle))
    return out


def _mark_names(plan: PanelPlan) -> list[Words]:
    out = []
    chains = {edge.name: edge.chain for edge in plan.panel.edges}
    for mark in plan.panel.marks:
        at, along = points_at_stations(chains[mark.edge], np.array([mark.station]))
        inside = at[0] + 5.0 * left_of(along)[0] - np.array([0.0, 1.0])
        out.append(Words(mark.name, inside, 2.8))
    return out


def _ticks(plan: PanelPlan) -> list[Chain]:
    out = []
    chains = {edge.name: edge.chain for edge in plan.panel.edges}
    for mark in plan.panel.marks:
        at, along = points_at_stations(chains[mark.edge], np.array([mark.station]))
        out.append(line(at[0], at[0] + 4.0 * left_of(along)[0]))
    return out


def moved(template: Template, matrix: Matrix, angle: float) -> Template:
    """Turn and shift a template; ``angle`` is the turn in ``matrix``."""
    strokes = tuple(
        replace(stroke, chain=transformed(stroke.chain, matrix))
        for stroke in template.drawing.strokes
    )
    words = tuple(
        replace(word, at=moved_points(word.at[None], matrix)[0], angle=_upright(word.angle + angle))
        for word in template.drawing.words
    )
    outline = transformed(template.outline, matrix)
    details = tuple(_moved_box(box, matrix) for box in template.details)
    return Template(template.name, outline, Drawing(strokes, words), details)


def _upright(angle: float) -> float:
    return math.remainder(angle, 2 * math.pi)


def _moved_box(
    box: tuple[float, float, float, float], matrix: Matrix
) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = box
    corners = moved_points(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]), matrix)
    low, high = corners.min(axis=0), corners.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
