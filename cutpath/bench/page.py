"""The printable page of a pattern: what to run, where to measure, how, and where to write it."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any, cast

from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from cutpath.bench.page_drawing import INK, RULE, SOFT, Plan, Reading
from cutpath.bench.pattern_model import Gauge, Pattern
from cutpath.geometry.points import Floats
from cutpath.pdf_paths import BOLD, SANS, register_fonts

SIZES = {"A4": A4, "Letter": letter}
_MARGIN = 13 * mm
_MANY = 8
"""Readings from which drawings leave more room to write."""
_WRITTEN_OUT = {"−": "-", "→": "to", "≥": ">="}
_TEXT = ParagraphStyle("text", fontName=SANS, fontSize=8.4, leading=10.8, textColor=INK)
_SMALL = ParagraphStyle("small", parent=_TEXT, fontSize=7.3, leading=9.2)
_SOFT = ParagraphStyle("soft", parent=_SMALL, textColor=SOFT)
_STEP = ParagraphStyle("step", parent=_TEXT, leftIndent=13, firstLineIndent=-13, spaceAfter=2)
_HEAD = ParagraphStyle("head", parent=_TEXT, fontName=BOLD, fontSize=9.5, leading=13, spaceBefore=5)
_LETTERS = ParagraphStyle("letters", parent=_TEXT, fontName=BOLD)
_TITLE = ParagraphStyle("title", parent=_TEXT, fontName=BOLD, fontSize=16, leading=20)


@dataclass(frozen=True, slots=True, eq=False)
class PageFacts:
    """What the page says beside the pattern: the profile's name as it was typed, files, minutes.

    ``axes`` are where the machine's +x and +y go on the bed, (2, 2); ``cautions`` the machine's.
    """

    called: str
    files: tuple[str, ...]
    minutes: int
    form: str
    axes: Floats
    cautions: tuple[str, ...]


def page_of(pattern: Pattern, facts: PageFacts, paper: str = "A4") -> bytes:
    """Give the page as a PDF on ``paper`` ("A4" or "Letter"), the same bytes for the same pattern.

    Raises KeyError for another paper.
    """
    register_fonts()
    out = io.BytesIO()
    size = SIZES[paper]
    document = SimpleDocTemplate(
        out, pagesize=size, title=f"Test pattern: {pattern.title}", creator="cutpath", invariant=1,
        leftMargin=_MARGIN, rightMargin=_MARGIN, topMargin=9 * mm, bottomMargin=10 * mm,
    )  # fmt: skip
    width = size[0] - 2 * _MARGIN - 12  # the frame's own padding
    story: list[Flowable] = [
        *_head(pattern, facts), *_drawings(pattern, facts, width), *_steps(pattern),
        *_to_write(pattern, facts, width), *_cautions(pattern, facts),
    ]  # fmt: skip

    def foot(canvas: Canvas, built: SimpleDocTemplate) -> None:
        canvas.setFont(SANS, 6.5)
        canvas.setFillColor(SOFT)
        words = f"{pattern.title} on {pattern.profile.name}, page {built.page}"
        canvas.drawCentredString(size[0] / 2, 6 * mm, _settable(words))

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _head(pattern: Pattern, facts: PageFacts) -> list[Flowable]:
    files = " and then ".join(facts.files)
    return [
        _p(f"Test pattern: {pattern.title}", _TITLE),
        _p(f"It finds {pattern.finds}."),
        _p(f"{pattern.profile.name} ({facts.called}). Run {files}, about {facts.minutes} min.",
           _SOFT),
    ]  # fmt: skip


def _drawings(pattern: Pattern, facts: PageFacts, width: float) -> list[Flowable]:
    if not pattern.insets:
        plan = Plan(pattern, facts.axes, (width, 115 * mm))
        return [Spacer(1, 3), plan, _p(_scale_words(plan), _SOFT)]
    share = 0.57 * width
    plan = Plan(pattern, facts.axes, (share - 6, 105 * mm))
    side: list[Flowable] = []
    room = 80.0 if len(pattern.gauges) <= _MANY else 70.0
    high = min(50.0, room / len(pattern.insets)) * mm
    for inset in pattern.insets:
        side += [
            _p(inset.title, _HEAD), Spacer(1, 2),
            Reading(inset, width - share - 6, high), Spacer(1, 3), _p(inset.caption, _SMALL),
        ]  # fmt: skip
    made = Table([[[plan, _p(_scale_words(plan), _SOFT)], side]], colWidths=[share, width - share])
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 0),
                ("LEFTPADDING", (1, 0), (1, 0), 8),
            ]
        )
    )
    return [Spacer(1, 3), made]


def _scale_words(plan: Plan) -> str:
    ratio = plan.ratio
    told = f"1 : {ratio:.1f}" if ratio < 10 else f"1 : {ratio:.0f}"
    if ratio < 1 + 1e-9:
        told = "at full size"
    return f"The pattern as it lies on the bed, drawn {told}. x and y are the machine's own axes."


def _steps(pattern: Pattern) -> list[Flowable]:
    with_what = "; ".join(pattern.instruments)
    return [
        _p("How", _HEAD),
        _p(f"Measure with {with_what}.", _TEXT),
        Spacer(1, 2),
        *(_p(f"{number}.  {step}", _STEP) for number, step in enumerate(pattern.steps, start=1)),
    ]


def _to_write(pattern: Pattern, facts: PageFacts, width: float) -> list[Flowable]:
    gauges = pattern.gauges
    columns = 1 if len(gauges) <= 4 else 2
    rows = -(-len(gauges) // columns)
    blocks = [
        _block(gauges[first : first + rows], width / columns - 6 * (columns > 1), pattern)
        for first in range(0, len(gauges), rows)
    ]
    made = Table([blocks], colWidths=[width / columns] * len(blocks))
    made.setStyle(
        TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)])
    )
    then = (
        f'Then type it into {facts.form} (any unit: "2.3 mm", "1/16 in"; what was not measured '
        f"stays empty), and run: cutpath profile fit {facts.called} {facts.form}"
    )
    return [_p(f"Write here ({gauges[0].asked})", _HEAD), made, _p(then, _SMALL)]


def _block(gauges: Sequence[Gauge], width: float, pattern: Pattern) -> Table:
    rows: list[list[Any]] = [[_p(word, _SOFT) for word in ("", "what", "told", "measured")]]
    for gauge in gauges:
        key = f"{gauge.tool}.{gauge.key}" if gauge.tool else gauge.key
        told = "" if gauge.told is None else f"{gauge.told:.2f}".rstrip("0").rstrip(".")
        rows.append([_p(gauge.letter, _LETTERS), _both(gauge.words, key), _p(told, _TEXT), ""])
    shares = (0.14, 0.42, 0.17, 0.27) if len(pattern.gauges) > 4 else (0.08, 0.56, 0.12, 0.24)
    made = Table(rows, colWidths=[width * share for share in shares])
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LINEBELOW", (0, 0), (-1, 0), 0.6, INK),
                ("LINEBELOW", (0, 1), (-1, -1), 0.3, RULE),
                ("BOX", (3, 1), (3, -1), 0.6, INK),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 1.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
            ]
        )
    )
    return made


def _cautions(pattern: Pattern, facts: PageFacts) -> list[Flowable]:
    words = (*pattern.cautions, *facts.cautions)
    return [_p("Take care", _HEAD), *(_p(f"• {caution}", _SMALL) for caution in words)]


def _both(words: str, key: str) -> Paragraph:
    grey = f'<font color="#5b5b5b" size="6.5">{escape(key)}</font>'
    return Paragraph(f"{escape(_settable(words))}<br/>{grey}", _SMALL)


def _p(text: str, style: ParagraphStyle = _TEXT) -> Paragraph:
    return Paragraph(escape(_settable(text)), style)


def _settable(text: str) -> str:
    """Give ``text`` with what the font lacks written out, or as a question mark."""
    known = cast("TTFont", pdfmetrics.getFont(SANS)).face.charToGlyph
    return "".join(sign if ord(sign) in known else _WRITTEN_OUT.get(sign, "?") for sign in text)
