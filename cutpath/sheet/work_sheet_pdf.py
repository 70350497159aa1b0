"""The work sheet as a PDF: the same facts as the page, set for A4 or Letter."""

from __future__ import annotations

import io
from collections.abc import Sequence
from html import escape
from typing import Any, cast

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    Flowable,
    KeepTogether,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from cutpath.geometry.chain import Chain
from cutpath.geometry.measure import bounds
from cutpath.geometry.transform import compose, scaling, transformed, translation
from cutpath.pdf_paths import BOLD, SANS, add_chain, register_fonts
from cutpath.sheet.work_sheet import WorkSheet

SIZES = {"A4": A4, "Letter": letter}
_MARGIN = 14 * mm
_INK, _SOFT, _RULE = (
    colors.HexColor("#161616"),
    colors.HexColor("#5b5b5b"),
    colors.HexColor("#b9b9b9"),
)
_WRITTEN_OUT = {"θ": "angle", "√": "root of ", "→": "to", "−": "-", "≥": ">=", "≤": "<="}
_TEXT = ParagraphStyle("text", fontName=SANS, fontSize=8.5, leading=11.5, textColor=_INK)
_SMALL = ParagraphStyle("small", parent=_TEXT, fontSize=7.5, leading=9.8)
_HEAD = ParagraphStyle("head", parent=_TEXT, fontName=BOLD, fontSize=11, leading=16, spaceBefore=9)
_TITLE = ParagraphStyle("title", parent=_TEXT, fontName=BOLD, fontSize=17, leading=22)
_COLUMN = ParagraphStyle("column", parent=_SMALL, textColor=_SOFT)


class _Lines(Flowable):
    """Lines fitted into a box: heavy ones, thin ones, and words at places."""

    def __init__(
        self,
        heavy: Sequence[Chain],
        thin: Sequence[Chain],
        size: tuple[float, float],
        words: Sequence[tuple[str, float, float]] = (),
    ) -> None:
        super().__init__()
        self.heavy, self.thin, self.words = heavy, thin, words
        self.width, self.height = size

    def draw(self) -> None:
        boxes = [bounds(chain) for chain in (*self.heavy, *self.thin)]
        x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
        x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
        scale = min(self.width / max(x1 - x0, 1e-9), self.height / max(y1 - y0, 1e-9)) * 0.96
        matrix = compose(
            translation(self.width / 2, self.height / 2), scaling(scale),
            translation(-(x0 + x1) / 2, -(y0 + y1) / 2),
        )  # fmt: skip
        canvas: Canvas = self.canv
        canvas.setStrokeColor(_INK)
        for chains, weight, dash in ((self.heavy, 0.8, ()), (self.thin, 0.35, (2, 1.5))):
            path = canvas.beginPath()
            for chain in chains:
                add_chain(path, transformed(chain, matrix))
            canvas.setLineWidth(weight)
            canvas.setDash(*dash) if dash else canvas.setDash()
            canvas.drawPath(path, stroke=1, fill=0)
        canvas.setDash()
        canvas.setFont(BOLD, 7.5)
        canvas.setFillColor(_INK)
        for text, x, y in self.words:
            at = matrix[:, :2] @ (x, y) + matrix[:, 2]
            canvas.drawCentredString(float(at[0]), float(at[1]) - 2.6, text)


def work_sheet_pdf(sheet: WorkSheet, page: str = "A4") -> bytes:
    """Give the sheet as a PDF on ``page`` ("A4" or "Letter"), the same bytes for the same sheet.

    Raises KeyError for another page.
    """
    register_fonts()
    out = io.BytesIO()
    size = SIZES[page]
    document = SimpleDocTemplate(
        out, pagesize=size, title=f"{sheet.job}: work sheet", creator="cutpath", invariant=1,
        leftMargin=_MARGIN, rightMargin=_MARGIN, topMargin=_MARGIN, bottomMargin=_MARGIN,
    )  # fmt: skip
    width = size[0] - 2 * _MARGIN
    story: list[Flowable] = [
        *_head(sheet, width), *_pieces(sheet, width), *_seams(sheet, width), *_parts(sheet, width),
        *_buying(sheet, width), *_steps(sheet, width), *_cautions(sheet), *_labels(sheet, width),
    ]  # fmt: skip

    def foot(canvas: Canvas, built: SimpleDocTemplate) -> None:
        canvas.setFont(SANS, 7)
        canvas.setFillColor(_SOFT)
        canvas.drawCentredString(size[0] / 2, 8 * mm, f"{sheet.job} · {built.page}")

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _p(text: str, style: ParagraphStyle = _TEXT) -> Paragraph:
    return Paragraph(escape(_settable(text)).replace("\n", "<br/>"), style)


def _settable(text: str) -> str:
    """Give ``text`` with what the font lacks written out, or as a question mark."""
    known = cast("TTFont", pdfmetrics.getFont(SANS)).face.charToGlyph
    return "".join(
        letter if letter == "\n" or ord(letter) in known else _WRITTEN_OUT.get(letter, "?")
        for letter in text
    )


def _table(head: Sequence[str], rows: Sequence[list[Any]], widths: Sequence[float]) -> Table:
    made = Table([[_p(word, _COLUMN) for word in head], *rows], colWidths=widths, repeatRows=1)
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, 0), 0.7, _INK),
                ("LINEBELOW", (0, 1), (-1, -1), 0.3, _RULE),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 5),
                ("TOPPADDING", (0, 0), (-1, -1), 2.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
            ]
        )
    )
    return made


def _shares(width: float, *shares: float) -> list[float]:
    return [width * share / sum(shares) for share in shares]


def _head(sheet: WorkSheet, width: float) -> list[Flowable]:
    facts = [[_p(name, _COLUMN), _p(value)] for name, value in sheet.facts]
    made = Table(facts, colWidths=_shares(width, 2, 8))
    made.setStyle(
        TableStyle([("LEFTPADDING", (0, 0), (-1, -1), 0), ("TOPPADDING", (0, 0), (-1, -1), 1)])
    )
    plan = _Lines(sheet.outlines, (), (width, 78 * mm), sheet.plan_words)
    return [
        _p(sheet.job, _TITLE),
        _p(f"Work sheet, from {sheet.drawing}. Lengths in mm unless it says otherwise.", _COLUMN),
        Spacer(1, 6), made, _p("What is sewn to what", _HEAD), plan,
    ]  # fmt: skip


def _pieces(sheet: WorkSheet, width: float) -> list[Flowable]:
    rows = []
    for line in sheet.pieces:
        piece = line.piece
        picture = _Lines((piece.cut, *piece.inner_cuts), (piece.net,), (26 * mm, 17 * mm))
        count = f"{line.count}" + (f" + {line.mirrored} mirrored" if line.mirrored else "")
        allowances = "\n".join(f"{edge}: {words}" for edge, words in line.allowances)
        rows.append(
            [
                picture, _p(piece.panel), _p(line.cloth), _p(count),
                _p(f"face {line.face}; {line.grain}", _SMALL),
                _p(f"{line.width:.0f} × {line.height:.0f}"), _p(allowances, _SMALL),
            ]
        )  # fmt: skip
    head = ("", "piece", "cloth", "cut", "face, warp", "size", "allowances")
    table = _table(head, rows, _shares(width, 5.2, 3.4, 3.2, 1.8, 3.6, 3, 4.6))
    return [_p("Pieces to cut", _HEAD), table]


def _seams(sheet: WorkSheet, width: float) -> list[Flowable]:
    if not sheet.seams:
        return []
    rows = [
        [
            _p(line.letter), _p(f"{line.first}\n{line.second}"), _p(line.allowances, _SMALL),
            _p(line.length), _p(line.marks, _SMALL), _p(line.ease), _p(line.rows, _SMALL),
            _p("DOES NOT FIT" if line.verdict == "out" else str(line.step or "")),
        ]
        for line in sheet.seams
    ]  # fmt: skip
    head = ("", "edges", "allowance", "length", "marks, in order", "ease", "stitching", "step")
    return [
        _p("Seams", _HEAD),
        _table(head, rows, _shares(width, 1, 4.4, 2.4, 1.6, 4, 1.2, 2.4, 1.6)),
    ]


def _parts(sheet: WorkSheet, width: float) -> list[Flowable]:
    if not sheet.parts:
        return []
    rows = []
    for part in sheet.parts:
        told = "\n".join(
            f"{what} {value}" + (f" ({how})" if how else "") for what, value, how in part.numbers
        )
        rows.append([_p(f"{part.name}\n{part.kind}"), _p(part.where, _SMALL), _p(told, _SMALL)])
    head = ("part", "where", "numbers")
    return [
        _p("Parts made beside the panels", _HEAD),
        _table(head, rows, _shares(width, 2.4, 2, 8)),
    ]


def _buying(sheet: WorkSheet, width: float) -> list[Flowable]:
    if not sheet.buying:
        return []
    rows = [
        [
            _p(line.kind, _SMALL), _p(line.name), _p(line.net), _p(line.waste), _p(line.total),
            _p(line.cost), _p(line.used_for, _SMALL),
        ]
        for line in sheet.buying
    ]  # fmt: skip
    head = ("", "what", "needed", "waste", "buy", "cost", "for")
    out = [_p("What to buy", _HEAD), _table(head, rows, _shares(width, 1.7, 4, 2.4, 1, 2, 2, 3))]
    if sheet.total_cost:
        out += [Spacer(1, 4), _p(f"Cost of material: {sheet.total_cost}")]
    return out


def _steps(sheet: WorkSheet, width: float) -> list[Flowable]:
    place = {step.name: number for number, step in enumerate(sheet.sewing.steps, start=1)}
    rows = []
    for number, step in enumerate(sheet.sewing.steps, start=1):
        after = sorted(place[name] for name in set(step.needs))
        told = step.words[:1].upper() + step.words[1:]
        if len(after) > 8:
            told += " (when all else is done)"
        elif after:
            told += f" (after {', '.join(map(str, after))})"
        rows.append([_Box(), _p(str(number)), _p(step.kind.value, _SMALL), _p(told)])
    head = ("", "", "", "")
    return [_p("Order of sewing", _HEAD), _table(head, rows, _shares(width, 0.6, 0.7, 2, 12))]


class _Box(Flowable):
    """An empty square to tick."""

    def __init__(self) -> None:
        super().__init__()
        self.width = self.height = 9.0

    def draw(self) -> None:
        self.canv.setLineWidth(0.8)
        self.canv.rect(0, 0, 8, 8)


def _cautions(sheet: WorkSheet) -> list[Flowable]:
    words = [_p(f"• {caution}") for caution in sheet.cautions]
    return [KeepTogether([_p("Take care", _HEAD), *words])]


def _labels(sheet: WorkSheet, width: float) -> list[Flowable]:
    if not sheet.labels:
        return []
    cells = [
        [_p(name, _HEAD), _p(sheet.job), _p(cloth), _p(words, _SMALL)]
        for name, cloth, words in sheet.labels
    ]
    cells += [[] for _ in range(-len(cells) % 3)]
    rows = [cells[k : k + 3] for k in range(0, len(cells), 3)]
    made = Table(rows, colWidths=[width / 3] * 3)
    made.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.4, _SOFT, None, (2, 2)),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ]
        )
    )
    return [PageBreak(), made]
