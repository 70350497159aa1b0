"""Pages rendered by a PDF library and laid together by hand give the whole outline again."""

from __future__ import annotations

import io

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from cutpath.geometry.chain import arc, closed_up, joined, line
from cutpath.geometry.measure import length, points_at_stations
from cutpath.paper.page import Drawing, Line, Stroke
from cutpath.paper.paging import pages_of
from cutpath.paper.pdf import pdf_of
from cutpath.paper.sheets import Sheet, sheet_of
from cutpath.paper.template import Template

DPI = 254
PIXEL = 25.4 / DPI
_COARSE = 4
"""Pixels of the sheets in one of the picture in which the outline is first looked for."""
Picture = NDArray[np.float64]


def pattern() -> Template:
    """Give a panel of 470 × 390 mm with a bowed top, and only its outline on it."""
    bow = arc((235, -280), 710, np.radians(70.6), np.radians(38.8))
    outline = closed_up(
        joined([line((0, 0), (470, 0)), line((470, 0), bow.first), bow, line(bow.last, (0, 0))])
    )
    return Template("bow", outline, Drawing((Stroke(Line.CUT, outline),)), ())


def rendered(data: bytes) -> list[Picture]:
    """Give each page as darkness 0…1, rows from the top."""
    document = pypdfium2.PdfDocument(io.BytesIO(data))
    shots = [page.render(scale=DPI / 72, grayscale=True).to_numpy() for page in document]
    return [1.0 - np.asarray(shot).reshape(*shot.shape[:2]) / 255.0 for shot in shots]


def best_shift(
    one: Picture, other: Picture, expected: tuple[int, int], reach: int
) -> tuple[int, int]:
    """Find the shift of ``other`` against ``one`` (rows, columns) at which both agree best."""
    best, found = -1.0, expected
    for row in range(expected[0] - reach, expected[0] + reach + 1):
        for column in range(expected[1] - reach, expected[1] + reach + 1):
            a, b = overlap_of(one, other, row, column)
            score = float((a * b).sum())
            if score > best:
                best, found = score, (row, column)
    return found


def overlap_of(one: Picture, other: Picture, row: int, column: int) -> tuple[Picture, Picture]:
    height, width = one.shape
    top, left = max(0, row), max(0, column)
    bottom, right = min(height, row + height), min(width, column + width)
    return (
        one[top:bottom, left:right],
        other[top - row : bottom - row, left - column : right - column],
    )


@pytest.mark.parametrize("scale", [1.0, 100 / 98.6])
def test_pasted_pages_give_the_outline_again(scale: float) -> None:
    template = pattern()
    sheet = sheet_of("A4")
    pages = pages_of([template], sheet, "paste", (scale, scale))
    pictures = rendered(pdf_of(pages, "paste"))[1:]
    assert len(pictures) >= 4
    places = [page.title.split("·")[1].split()[-1] for page in pages[1:]]
    by_place = dict(zip(places, pictures, strict=True))
    step = [round(each * scale / PIXEL) for each in _steps(sheet, scale)]
    shifts = {places[0]: (0, 0)}
    waiting = [places[0]]
    while waiting:  # from sheet to sheet, a person lays the next one on its lozenges
        here = waiting.pop()
        for near, expected in _neighbours(here, step):
            if near in by_place and near not in shifts:
                row, column = best_shift(by_place[here], by_place[near], expected, 6)
                shifts[near] = (shifts[here][0] + row, shifts[here][1] + column)
                waiting.append(near)
    assert set(shifts) == set(by_place)
    canvas = _pasted(by_place, shifts)
    _assert_outline_is_there(template, canvas, scale)


def _steps(sheet: Sheet, scale: float) -> tuple[float, float]:
    return (
        sheet.room[0] / scale - sheet.overlap,
        sheet.room[1] / scale - sheet.overlap,
    )


def _neighbours(place: str, step: list[int]) -> list[tuple[str, tuple[int, int]]]:
    column, row = place[0], int(place[1:])
    return [
        (f"{chr(ord(column) + 1)}{row}", (0, step[0])),
        (f"{chr(ord(column) - 1)}{row}", (0, -step[0])),
        (f"{column}{row + 1}", (step[1], 0)),
        (f"{column}{row - 1}", (-step[1], 0)),
    ]


def _pasted(pictures: dict[str, Picture], shifts: dict[str, tuple[int, int]]) -> Picture:
    rows = [shift[0] for shift in shifts.values()]
    columns = [shift[1] for shift in shifts.values()]
    height, width = next(iter(pictures.values())).shape
    canvas = np.zeros((max(rows) - min(rows) + height, max(columns) - min(columns) + width))
    for name, picture in pictures.items():
        top, left = shifts[name][0] - min(rows), shifts[name][1] - min(columns)
        part = canvas[top : top + height, left : left + width]
        np.maximum(part, picture, out=part)
    return canvas


def _assert_outline_is_there(template: Template, canvas: Picture, scale: float) -> None:
    """Lay the true outline on the pasted sheets, by its own corner, and look for the line."""
    places, _ = points_at_stations(
        template.outline, np.linspace(0.0, length(template.outline), 1500)
    )
    pixels = np.column_stack([places[:, 0], -places[:, 1]]) * scale / PIXEL
    best = 0.0
    inner = canvas > 0.5
    size = pixels.max(axis=0) - pixels.min(axis=0)
    corner = pixels.min(axis=0)
    # The corner is looked for, coarsely first; one place must fit the whole outline.
    grown = _grown(inner, reach=2)  # pixels: 0.2 mm
    coarse = _coarse(grown)
    for quarter in range(4):
        turned = _turned(pixels - corner, size, quarter)
        limit = np.array(canvas.shape[::-1]) - turned.max(axis=0) - 1
        if (limit < 0).any():
            continue
        dots = np.zeros(np.rint(turned[:, ::-1].max(axis=0) / _COARSE).astype(int) + 1)
        at = np.rint(turned / _COARSE).astype(int)
        dots[at[:, 1], at[:, 0]] = 1.0
        hits = fftconvolve(coarse, dots[::-1, ::-1], mode="valid")
        top, left = np.unravel_index(int(hits.argmax()), hits.shape)
        best = max(best, _fit(grown, turned, int(left) * _COARSE, int(top) * _COARSE))
    assert best == 1.0


def _coarse(grown: NDArray[np.bool_]) -> Picture:
    """Give a picture of fewer pixels, dark where anything in its square was."""
    rows, columns = (size - size % _COARSE for size in grown.shape)
    squares = grown[:rows, :columns].reshape(rows // _COARSE, _COARSE, columns // _COARSE, _COARSE)
    return np.asarray(squares.any(axis=(1, 3)), dtype=np.float64)


def _fit(grown: NDArray[np.bool_], turned: Picture, left: int, top: int) -> float:
    best = 0.0
    reach = range(-2 * _COARSE, 2 * _COARSE + 1)
    for dx in reach:
        for dy in reach:
            columns = np.clip(np.rint(turned[:, 0] + left + dx).astype(int), 0, grown.shape[1] - 1)
            rows = np.clip(np.rint(turned[:, 1] + top + dy).astype(int), 0, grown.shape[0] - 1)
            best = max(best, float(grown[rows, columns].mean()))
    return best


def _grown(inner: NDArray[np.bool_], reach: int) -> NDArray[np.bool_]:
    out = inner.copy()
    for dx in range(-reach, reach + 1):
        for dy in range(-reach, reach + 1):
            if dx * dx + dy * dy <= reach * reach:
                out |= np.roll(np.roll(inner, dx, axis=1), dy, axis=0)
    return out


def _turned(pixels: Picture, size: Picture, quarter: int) -> Picture:
    out = pixels
    for _ in range(quarter):
        out = np.column_stack([-out[:, 1], out[:, 0]])
        out = out - out.min(axis=0)
    return out
