"""What PDF pages have in common: our chains as paths, and fonts that may be embedded."""

from __future__ import annotations

from functools import cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.pathobject import PDFPathObject

from cutpath.geometry.chain import Chain
from cutpath.geometry.transform import arcs_as_cubics

SANS, BOLD = "CutpathSans", "CutpathSansBold"
_FILES = {SANS: "Vera.ttf", BOLD: "VeraBd.ttf"}
"""Bitstream Vera, which reportlab brings: its licence lets it be embedded."""
_CLOSE = 0.005


@cache
def register_fonts() -> None:
    """Make ``SANS`` and ``BOLD`` known."""
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, file))


def add_chain(path: PDFPathObject, chain: Chain) -> None:
    """Add a chain to a path: lines and cubics, arcs as cubics within 0.005 mm."""
    cubics = arcs_as_cubics(chain, _CLOSE)
    is_cubic = cubics.is_cubic.tolist()
    path.moveTo(*cubics.first.tolist())
    ends, handles = cubics.ends.tolist(), cubics.handles.tolist()
    for index, end in enumerate(ends):
        if is_cubic[index]:
            path.curveTo(*handles[index][0], *handles[index][1], *end)
        else:
            path.lineTo(*end)
    if chain.closed:
        path.close()
