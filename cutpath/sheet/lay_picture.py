"""The picture of one cloth's lay: each length of cloth with its pieces, flaws, frames, remnants.

A long roll is drawn in rows, each going on where the one above ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import svgwrite
from svgwrite.container import Group

from cutpath.geometry.measure import bounds
from cutpath.geometry.middle import roomiest
from cutpath.geometry.remnants import Box
from cutpath.laid import Stock
from cutpath.model import Piece
from cutpath.sheet.svg_lines import number, path_data
from cutpath.sheet.words import printable

_LINE = "#111111"
_CLOTH, _SELVEDGE, _PIECE = "#f4f1ea", "#d9d3c4", "#ffffff"
_FLAW, _LEFT, _FRAME, _FAINT = "#b3261e", "#2a7a4b", "#1f5fa8", "#8a8a8a"
_ROW = 5.0
"""A row of a long roll is at most so many times as long as it is wide."""


@dataclass(frozen=True, slots=True, eq=False)
class StockPicture:
    """One length of cloth: ``far`` mm of it are shown, ``used`` are used.

    ``frames`` are (from, to, words) along it; ``remnants`` free rectangles.
    """

    stock: Stock
    far: float
    used: float
    pieces: tuple[Piece, ...]
    frames: tuple[tuple[float, float, str], ...]
    remnants: tuple[Box, ...]
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class LayPicture:
    """One cloth's lay with its title and what is said below it."""

    title: str
    notes: tuple[str, ...]
    stocks: tuple[StockPicture, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    """A part of a stock from ``start`` to ``end`` mm; ``top`` is where its far edge is drawn."""

    of: StockPicture
    start: float
    end: float
    top: float
    is_first: bool


def draw_lay(picture: LayPicture) -> str:
    """Give the picture as SVG text, the same for the same input."""
    unit = _unit(picture)
    rows, height = _rows(picture, unit)
    width = max(row.end - row.start for row in rows) + 60 * unit
    page = 277 if width >= height else 190
    drawing = svgwrite.Drawing(
        size=(f"{page}mm", f"{number(round(page * height / width, 1))}mm"),
        viewBox=f"{number(-30 * unit)} 0 {number(width)} {number(height)}",
        debug=False,
    )
    drawing.set_desc(title=picture.title)
    drawing.add(
        drawing.rect((number(-30 * unit), 0), (number(width), number(height)), fill="white")
    )
    for index, row in enumerate(rows):
        drawing.add(_row_group(drawing, row, index, unit))
    drawing.add(_words(drawing, picture, height, unit))
    return str(drawing.tostring()) + "\n"


def _unit(picture: LayPicture) -> float:
    """Give a thousandth of the longest row, mm of cloth."""
    longest = max(min(each.far, _ROW * each.stock.width) for each in picture.stocks)
    return max(longest, *(each.stock.width for each in picture.stocks), 100.0) / 1000


def _rows(picture: LayPicture, unit: float) -> tuple[list[_Row], float]:
    """Give the rows from top to bottom, and the height of the whole picture."""
    rows: list[_Row] = []
    y = 20 * unit
    for each in picture.stocks:
        count = max(math.ceil(each.far / (_ROW * each.stock.width) - 1e-9), 1)
        step = each.far / count
        y += 30 * unit
        for index in range(count):
            rows.append(_Row(each, index * step, (index + 1) * step, y, is_first=index == 0))
            y += each.stock.width + 62 * unit
    return rows, y + (len(picture.notes) * 24 + 50) * unit


def _row_group(drawing: svgwrite.Drawing, row: _Row, index: int, unit: float) -> Group:
    """Draw one row; all lines are in the cloth's own mm, y counted down from its far edge."""
    stock = row.of.stock
    outer = drawing.g(
        id=f"row-{index + 1}", font_family="sans-serif", transform=f"translate(0 {number(row.top)})"
    )
    if row.is_first:
        outer.add(_text(drawing, row.of.words, (0, -9 * unit), 17 * unit, font_weight="bold"))
    window = drawing.defs.add(drawing.clipPath(id=f"row-{index + 1}-window"))
    size = (number(row.end - row.start), number(stock.width + 60 * unit))
    window.add(drawing.rect((number(row.start), number(-2 * unit)), size))
    clipped = drawing.g(clip_path=f"url(#row-{index + 1}-window)")
    inner = drawing.g(transform=f"translate({number(-row.start)} 0)")
    for part in (_cloth, _flaws, _remnants, _pieces, _frames, _ruler):
        clipped.add(part(drawing, row, unit))
    inner.add(clipped)
    outer.add(inner)
    return outer


def _cloth(drawing: svgwrite.Drawing, row: _Row, unit: float) -> Group:
    stock = row.of.stock
    group = drawing.g(stroke="none")
    length = number(row.end - row.start)
    for y, high, fill in (
        (0.0, stock.width, _CLOTH),
        (0.0, stock.width - stock.high, _SELVEDGE),
        (stock.width - stock.low, stock.low, _SELVEDGE),
    ):
        if high > 0:
            at = (number(row.start), number(y))
            group.add(drawing.rect(at, (length, number(high)), fill=fill))
    edges = f"M{number(row.start)} 0h{length}m0 {number(stock.width)}h-{length}"
    if row.is_first:
        edges += f"M0 0v{number(stock.width)}"
    if stock.length is not None and row.end >= stock.length - 1e-6:
        edges += f"M{number(stock.length)} 0v{number(stock.width)}"
    group.add(drawing.path(d=edges, fill="none", stroke=_LINE, stroke_width=number(1.6 * unit)))
    return group


def _flaws(drawing: svgwrite.Drawing, row: _Row, unit: float) -> Group:
    """Draw each flaw as a box with both diagonals."""
    group = drawing.g(fill="none", stroke=_FLAW, stroke_width=number(1.4 * unit))
    for x, y, length, width in row.of.stock.flaws:
        low = row.of.stock.width - y - width
        far, high = number(length), number(width)
        group.add(
            drawing.path(
                d=f"M{number(x)} {number(low)}h{far}v{high}h-{far}z"
                f"l{far} {high}m-{far} 0l{far} -{high}"
            )
        )
    return group


def _pieces(drawing: svgwrite.Drawing, row: _Row, unit: float) -> Group:
    group = drawing.g()
    top = row.of.stock.width
    for piece in row.of.pieces:
        low, _, high, _ = bounds(piece.cut)
        if high < row.start or low > row.end:
            continue
        outline = path_data(piece.cut, top) + "".join(
            path_data(loop, top) for loop in piece.inner_cuts
        )
        group.add(
            drawing.path(
                d=outline, fill=_PIECE, fill_rule="evenodd", stroke=_LINE,
                stroke_width=number(1.4 * unit), stroke_linejoin="round",
            )
        )  # fmt: skip
        slits = "".join(path_data(notch, top) for notch in piece.notches)
        if slits:
            line = {"fill": "none", "stroke": _FLAW, "stroke_width": number(1.6 * unit)}
            group.add(drawing.path(d=slits, **line))
        (x, y), room = roomiest(piece.cut, piece.inner_cuts)
        size = min(18 * unit, 1.8 * room / (0.6 * max(len(piece.name), 2)))
        at = (x, top - y + 0.35 * size)
        group.add(_text(drawing, piece.name, at, size, text_anchor="middle"))
    return group


def _remnants(drawing: svgwrite.Drawing, row: _Row, unit: float) -> Group:
    """Draw what remains: dashed rectangles with their sizes."""
    dash = f"{number(7 * unit)} {number(4 * unit)}"
    group = drawing.g(fill="none", stroke=_LEFT, stroke_width=number(1.2 * unit))
    for x, y, length, width in row.of.remnants:
        low = row.of.stock.width - y - width
        group.add(
            drawing.rect(
                (number(x), number(low)), (number(length), number(width)), stroke_dasharray=dash
            )
        )
        words = f"{length:.0f} × {width:.0f}"
        size = min(15 * unit, 0.9 * length / (0.6 * len(words)), 0.5 * width)
        at = (x + length / 2, low + width / 2 + 0.35 * size)
        group.add(_text(drawing, words, at, size, text_anchor="middle", fill=_LEFT, stroke="none"))
    return group


def _frames(drawing: svgwrite.Drawing, row: _Row, unit: float) -> Group:
    """Draw a bar below the cloth for each frame, in turn on two levels, for they may overlap."""
    group = drawing.g(fill="none", stroke=_FRAME, stroke_width=number(1.6 * unit))
    for index, (start, end, words) in enumerate(row.of.frames):
        if end < row.start or start > row.end:
            continue
        y = row.of.stock.width + (28 + 16 * (index % 2)) * unit
        tick = number(5 * unit)
        last = number(min(end, row.of.far))
        bar = f"M{number(start)} {number(y)}v-{tick}v{tick}H{last}v-{tick}"
        group.add(drawing.path(d=bar))
        begin = max(start, row.start)
        at = (begin + 8 * unit, y - 3 * unit)
        group.add(_text(drawing, words, at, 12 * unit, fill=_FRAME, stroke="none"))
    return group


def _ruler(drawing: svgwrite.Drawing, row: _Row, unit: float) -> Group:
    """Mark each half metre along the near edge, and where the last piece ends."""
    group = drawing.g(fill="none", stroke=_FAINT, stroke_width=number(unit))
    bottom = row.of.stock.width
    for half in range(math.ceil(row.start / 500), math.floor(row.end / 500) + 1):
        group.add(drawing.path(d=f"M{number(half * 500)} {number(bottom)}v{number(6 * unit)}"))
        words = f"{half / 2:g} m"
        at = (half * 500 + 3 * unit, bottom + 13 * unit)
        group.add(_text(drawing, words, at, 11 * unit, fill=_FAINT, stroke="none"))
    if row.of.used:
        dash = f"{number(3 * unit)} {number(3 * unit)}"
        d = f"M{number(row.of.used)} 0V{number(bottom + 8 * unit)}"
        group.add(drawing.path(d=d, stroke=_LINE, stroke_dasharray=dash))
    return group


def _words(drawing: svgwrite.Drawing, picture: LayPicture, height: float, unit: float) -> Group:
    group = drawing.g(id="words", font_family="sans-serif")
    y = height - (len(picture.notes) * 24 + 24) * unit
    group.add(_text(drawing, picture.title, (0, y), 20 * unit, font_weight="bold"))
    for note in picture.notes:
        y += 24 * unit
        group.add(_text(drawing, note, (0, y), 16 * unit))
    return group


def _text(
    drawing: svgwrite.Drawing,
    words: str,
    at: Sequence[float],
    size: float,
    fill: str = _LINE,
    **style: str,
) -> svgwrite.text.Text:
    place = (number(at[0]), number(at[1]))
    return drawing.text(printable(words), place, font_size=number(size), fill=fill, **style)
