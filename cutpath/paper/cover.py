"""The first page: is it printed at full size? And which sheet goes where."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutpath.geometry.chain import Chain, line, polyline
from cutpath.geometry.transform import compose, scaling, transformed, translation
from cutpath.paper.page import Drawing, Line, Stroke, Words
from cutpath.paper.tiling import Spread

_INCH = 25.4
_SQUARE = 100.0
_TEXT = 3.4
_LINE = 5.2
_MAP_TEXT = 2.6

INSTRUCTIONS = (
    "Print at 100 %: no fitting, no scaling to the page.",
    "Measure both squares, across and up.",
    "If they measure otherwise, say what the 100 mm",
    "square measures, and print again:",
    "   --measured 98.6mm",
    "   --measured 98.6mm,99.1mm   (across, up)",
    "Lay sheets so that the lozenges close,",
    "against a window or with one cut on the",
    "dashed line; tape, then cut out.",
)


def cover_drawing(
    room: tuple[float, float], spreads: Sequence[Spread], numbers: Sequence[Sequence[int]], job: str
) -> Drawing:
    """Draw test squares, ruler, words and the map of sheets in ``room`` mm, from its lower left."""
    width, height = room
    strokes: list[Stroke] = []
    words: list[Words] = []
    top = height - 9.0
    words.append(Words(job, np.array([width / 2, top]), 6.0, bold=True))
    top -= 8.0
    squares, told = _squares(top, width)
    strokes += squares
    words += told
    floor = top - 4 * _INCH - 3.0 if width >= 2 * _SQUARE + 70 else top - _SQUARE - 8.0
    ruler, told = _ruler(floor - 12.0, width)
    strokes += ruler
    words += told
    map_strokes, told = _map(floor - 22.0, width, spreads, numbers)
    strokes += map_strokes
    words += told
    return Drawing(tuple(strokes), tuple(words))


def _squares(top: float, width: float) -> tuple[list[Stroke], list[Words]]:
    """Draw 100 mm and 4 in squares sharing a corner's height, and the words beside."""
    left, low = 2.0, top - _SQUARE
    strokes = [Stroke(Line.CUT, _box(left, low, _SQUARE, _SQUARE))]
    words = [Words("100 mm", np.array([left + _SQUARE / 2, low + 3.0]), _TEXT)]
    inches = 4 * _INCH
    is_wide = width >= _SQUARE + inches + 90
    if is_wide:
        at = left + _SQUARE + 6.0
        strokes.append(Stroke(Line.CUT, _box(at, top - inches, inches, inches)))
        words.append(Words("4 in", np.array([at + inches / 2, top - inches + 3.0]), _TEXT))
    else:  # a sheet too narrow for both: the larger one around, told apart by its dashes
        strokes.append(Stroke(Line.NET, _box(left, top - inches, inches, inches)))
        words.append(Words("dashed: 4 in", np.array([left + 50.0, low + 8.5]), 2.8))
    beside = left + _SQUARE + 6.0 + (inches + 6.0 if is_wide else 0.0)
    middle = (beside + width) / 2
    size = min(_TEXT, (width - beside) / 26.0)
    for number, text in enumerate(INSTRUCTIONS):
        words.append(Words(text, np.array([middle, top - 4.0 - number * _LINE]), size))
    return strokes, words


def _ruler(y: float, width: float) -> tuple[list[Stroke], list[Words]]:
    """Draw a ruler of centimetres above and inches below one line."""
    length = min(10.0 * int((width - 8.0) / 10.0), 300.0)
    left = 4.0
    strokes = [Stroke(Line.MARK, line((left, y), (left + length, y)))]
    words = []
    for step in range(int(length) + 1):
        tall = 4.0 if step % 10 == 0 else 2.6 if step % 5 == 0 else 1.4
        strokes.append(Stroke(Line.FRAME, line((left + step, y), (left + step, y + tall))))
        if step % 10 == 0:
            words.append(Words(str(step // 10), np.array([left + step, y + 4.8]), 2.4))
    words.append(Words("cm", np.array([left + length + 3.0, y + 1.0]), 2.2))
    for step in range(int(length / _INCH * 8) + 1):
        tall = 4.0 if step % 8 == 0 else 2.6 if step % 4 == 0 else 1.4
        x = left + step * _INCH / 8
        strokes.append(Stroke(Line.FRAME, line((x, y), (x, y - tall))))
        if step % 8 == 0:
            words.append(Words(str(step // 8), np.array([x, y - 7.0]), 2.4))
    words.append(Words("in", np.array([left + length + 3.0, y - 3.4]), 2.2))
    return strokes, words


def _map(
    top: float, width: float, spreads: Sequence[Spread], numbers: Sequence[Sequence[int]]
) -> tuple[list[Stroke], list[Words]]:
    """Draw every pattern with its sheets and their numbers, small, in rows."""
    scale = _map_scale(spreads, width, top)
    strokes: list[Stroke] = []
    words: list[Words] = []
    x, row_top, row_height = 2.0, top, 0.0
    for spread, pages in zip(spreads, numbers, strict=True):
        wide, tall = (scale * side for side in _size(spread))
        if x > 2.0 and x + wide > width:
            x, row_top, row_height = 2.0, row_top - row_height - 9.0, 0.0
        found = _one_map(spread, pages, (x, row_top - tall), scale)
        strokes += found[0]
        words += found[1]
        x += wide + 6.0
        row_height = max(row_height, tall)
    return strokes, words


def _map_scale(spreads: Sequence[Spread], width: float, height: float) -> float:
    scale = 1 / 12
    while scale > 1 / 400:
        x, used, row = 2.0, 0.0, 0.0
        for spread in spreads:
            wide, tall = (scale * side for side in _size(spread))
            if x > 2.0 and x + wide > width:
                x, used, row = 2.0, used + row + 9.0, 0.0
            x += wide + 6.0
            row = max(row, tall)
        if used + row + 8.0 <= height and all(scale * _size(s)[0] < width - 4 for s in spreads):
            break
        scale *= 0.93
    return scale


def _size(spread: Spread) -> tuple[float, float]:
    x0, y0, x1, y1 = _box_of(spread)
    return x1 - x0, y1 - y0


def _box_of(spread: Spread) -> tuple[float, float, float, float]:
    boxes = [(t.x, t.y, t.x + spread.room[0], t.y + spread.room[1]) for t in spread.tiles]
    return (
        min(b[0] for b in boxes), min(b[1] for b in boxes),
        max(b[2] for b in boxes), max(b[3] for b in boxes),
    )  # fmt: skip


def _one_map(
    spread: Spread, pages: Sequence[int], corner: tuple[float, float], scale: float
) -> tuple[list[Stroke], list[Words]]:
    x0, y0, x1, _ = _box_of(spread)
    matrix = compose(translation(*corner), scaling(scale), translation(-x0, -y0))
    strokes = [
        Stroke(Line.MARK, transformed(template.outline, matrix)) for template in spread.templates
    ]
    words = []
    for tile, page in zip(spread.tiles, pages, strict=True):
        # From join to join, so that neighbours share one line.
        half = [(spread.room[axis] - spread.step[axis]) / 2 for axis in (0, 1)]
        low = np.array([tile.x - x0 + half[0], tile.y - y0 + half[1]])
        place = np.array(corner) + scale * low
        wide, tall = scale * spread.step[0], scale * spread.step[1]
        strokes.append(Stroke(Line.FRAME, _box(float(place[0]), float(place[1]), wide, tall)))
        size = min(_MAP_TEXT, 0.4 * tall, 0.35 * wide)
        words.append(Words(str(page), place + np.array([wide / 2, tall / 2 - 0.36 * size]), size))
    names = ", ".join(template.name for template in spread.templates)
    room = scale * (x1 - x0)
    size = max(1.2, min(_MAP_TEXT, 1.6 * room / max(len(names), 1)))
    under = np.array([corner[0] + room / 2, corner[1] - 3.6])
    words.append(Words(names, under, size))
    return strokes, words


def _box(x: float, y: float, width: float, height: float) -> Chain:
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return polyline(corners, closed=True)
