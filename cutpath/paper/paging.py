"""Sheets with their numbers, joins and heads: everything a printer needs to know."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cutpath.geometry.measure import bounds
from cutpath.geometry.transform import Matrix, moved_points, transformed, translation
from cutpath.paper.cover import cover_drawing
from cutpath.paper.joins import joins_of
from cutpath.paper.page import Drawing, Page, Stroke, Words
from cutpath.paper.sheets import Sheet
from cutpath.paper.template import Template
from cutpath.paper.tiling import Spread, Tile, spread_out

_HEAD = 2.8


def pages_of(
    templates: Sequence[Template],
    sheet: Sheet,
    job: str,
    scale: tuple[float, float] = (1.0, 1.0),
    *,
    apart: bool = False,
) -> tuple[Page, ...]:
    """Lay templates on pages of ``sheet``; the first page holds test squares and the map.

    ``scale`` is what the printer must be given more of, across and up (1.014 for one that prints
    100 mm as 98.6).
    """
    room = (sheet.room[0] / scale[0], sheet.room[1] / scale[1])
    step = (room[0] - sheet.overlap, room[1] - sheet.overlap)
    spreads = spread_out(templates, room, step, apart=apart)
    numbers: list[list[int]] = []
    following = 2
    for spread in spreads:
        numbers.append(list(range(following, following + len(spread.tiles))))
        following += len(spread.tiles)
    whole = following - 1
    cover = cover_drawing(_cover_room(sheet, room), spreads, numbers, job)
    pages = [_page(sheet, 1, f"{job} · 1 of {whole}", cover, Drawing(), scale)]
    for spread, own in zip(spreads, numbers, strict=True):
        places = {(t.column, t.row): n for t, n in zip(spread.tiles, own, strict=True)}
        for tile, number in zip(spread.tiles, own, strict=True):
            title = f"{job} · {_names(spread)}{_place(spread, tile)} · {number} of {whole}"
            pattern = _shifted(_pattern(spread), -tile.x, -tile.y)
            joins = _shifted(joins_of(spread, tile, places), -tile.x, -tile.y)
            pages.append(_page(sheet, number, title, pattern, joins, scale))
    return tuple(_trimmed(page) if sheet.is_roll else page for page in pages)


def _cover_room(sheet: Sheet, room: tuple[float, float]) -> tuple[float, float]:
    return (room[0], min(room[1], 400.0)) if sheet.is_roll else room


def _names(spread: Spread) -> str:
    names = [template.name for template in spread.templates]
    return ", ".join(names) if len(names) < 4 else f"{', '.join(names[:3])} …"


def _place(spread: Spread, tile: Tile) -> str:
    """Name a sheet's place: columns by letter from the left, rows by number from the top."""
    if len(spread.tiles) == 1:
        return ""
    top = max(each.row for each in spread.tiles)
    left = min(each.column for each in spread.tiles)
    column = tile.column - left
    letter = chr(ord("A") + column) if column < 26 else f"{column + 1}:"
    return f" {letter}{top - tile.row + 1}"


def _pattern(spread: Spread) -> Drawing:
    strokes = tuple(stroke for t in spread.templates for stroke in t.drawing.strokes)
    words = tuple(word for t in spread.templates for word in t.drawing.words)
    return Drawing(strokes, words)


def _shifted(drawing: Drawing, dx: float, dy: float) -> Drawing:
    matrix: Matrix = translation(dx, dy)
    return Drawing(
        tuple(Stroke(s.line, transformed(s.chain, matrix)) for s in drawing.strokes),
        tuple(replace(w, at=moved_points(w.at[None], matrix)[0]) for w in drawing.words),
    )


def _page(
    sheet: Sheet,
    number: int,
    title: str,
    pattern: Drawing,
    joins: Drawing,
    scale: tuple[float, float],
) -> Page:
    margin = sheet.margin
    room = (margin, margin, sheet.width - margin, sheet.height - margin)
    # Pattern coordinates begin at the room's corner before the scale about the sheet's middle.
    shift = (
        sheet.width / 2 - sheet.room[0] / scale[0] / 2,
        sheet.height / 2 - sheet.room[1] / scale[1] / 2,
    )
    size = min(_HEAD, 0.3 * margin)
    head = Words(title, np.array([sheet.width / 2, margin - 1.3 * size]), size)
    # The head stands in the margin, at its own size.
    frame = Drawing((), (head,) if size > 0.8 else ())
    body = _shifted(
        Drawing((*pattern.strokes, *joins.strokes), (*pattern.words, *joins.words)), *shift
    )
    return Page(number, title, sheet.width, sheet.height, room, body, frame, scale)


def _trimmed(page: Page) -> Page:
    """Cut a roll's page to what is on it."""
    boxes = [bounds(stroke.chain) for stroke in page.pattern.strokes]
    low = min(box[1] for box in boxes)
    high = max(box[3] for box in boxes)
    middle = page.height / 2
    low, high = (middle + (y - middle) * page.scale[1] for y in (low, high))
    margin = page.room[0]
    height = high - low + 2 * margin + 8.0
    shift = margin + 4.0 - low
    # Shift so that the scale about the new middle puts everything in the same place.
    new_middle = height / 2
    drop = (shift + middle - new_middle) / page.scale[1] + (new_middle - middle)
    pattern = _shifted(page.pattern, 0.0, drop)
    frame = page.frame
    room = (page.room[0], margin, page.room[2], height - margin)
    return replace(page, height=height, room=room, pattern=pattern, frame=frame)
