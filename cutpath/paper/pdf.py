"""Pages as one PDF: vector lines, embedded fonts, the same bytes for the same pages."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from cutpath.paper.page import STYLES, Drawing, Line, Page, Words
from cutpath.pdf_paths import BOLD, SANS, add_chain, register_fonts

_POINT = 72 / 25.4
_FONTS = {False: SANS, True: BOLD}


def pdf_of(pages: Sequence[Page], title: str) -> bytes:
    """Give ``pages`` as a PDF whose user unit is a point; sizes are those of the sheets."""
    register_fonts()
    out = io.BytesIO()
    canvas = Canvas(out, invariant=True, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("cutpath")
    for page in pages:
        canvas.setPageSize((page.width * _POINT, page.height * _POINT))
        canvas.bookmarkPage(f"page-{page.number}")
        canvas.addOutlineEntry(page.title, f"page-{page.number}", level=0)
        canvas.scale(_POINT, _POINT)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        canvas.saveState()
        _clip(canvas, page.room)
        canvas.translate(page.width / 2, page.height / 2)
        canvas.scale(*page.scale)
        canvas.translate(-page.width / 2, -page.height / 2)
        _draw(canvas, page.pattern)
        canvas.restoreState()
        _draw(canvas, page.frame)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _clip(canvas: Canvas, room: tuple[float, float, float, float]) -> None:
    x0, y0, x1, y1 = room
    path = canvas.beginPath()
    path.rect(x0, y0, x1 - x0, y1 - y0)
    canvas.clipPath(path, stroke=0, fill=0)


def _draw(canvas: Canvas, drawing: Drawing) -> None:
    for line in Line:
        weight, dashes = STYLES[line]
        chains = [stroke.chain for stroke in drawing.strokes if stroke.line is line]
        if not chains:
            continue
        canvas.setLineWidth(weight)
        canvas.setDash(list(dashes)) if dashes else canvas.setDash()
        path = canvas.beginPath()
        for chain in chains:
            add_chain(path, chain)
        canvas.drawPath(path, stroke=1, fill=0)
    canvas.setDash()
    for words in drawing.words:
        _write(canvas, words)


def _write(canvas: Canvas, words: Words) -> None:
    canvas.saveState()
    canvas.translate(*words.at.tolist())
    if words.angle:
        canvas.rotate(math.degrees(words.angle))
    canvas.setFont(_FONTS[words.bold], words.size)
    canvas.drawCentredString(0, 0, words.text)
    canvas.restoreState()
