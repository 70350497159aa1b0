"""Sewn-products pattern exchange drawings (ASTM D6673): a piece a block, numbered layers.

The layer numbers were read from a public summary of the standard, not from its text; the keywords
are from memory; how notch depth and width are stored was not confirmed, so notches are taken as
places only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ezdxf.document import Drawing as Document
from ezdxf.layouts import BlockLayout

from cutpath.intake.dxf.entities import is_unknown
from cutpath.intake.dxf.unfolding import unfolded
from cutpath.model import Curve, Sort, Spot, Text

LAYERS: Mapping[str, Sort] = {
    "1": Sort.OUTLINE,
    "2": Sort.TURN,
    "3": Sort.CURVE,
    "4": Sort.NOTCH,
    "5": Sort.NOTE,
    "6": Sort.MIRROR,
    "7": Sort.GRAIN,
    "8": Sort.DRAWN,
    "9": Sort.NOTE,
    "10": Sort.NOTE,
    "11": Sort.CUTOUT,
    "13": Sort.DRILL,
    "14": Sort.SEW,
    "15": Sort.NOTE,
    "80": Sort.NOTCH,
    "81": Sort.NOTCH,
    "82": Sort.NOTCH,
    "83": Sort.NOTCH,
    "84": Sort.NOTE,
    "85": Sort.NOTE,
    "86": Sort.NOTE,
    "87": Sort.NOTE,
}
_KEYWORDS = frozenset({
    "AUTHOR", "CREATION DATE", "CREATION TIME", "STYLE NAME", "SAMPLE SIZE", "GRADE RULE TABLE",
    "UNITS", "PIECE NAME", "SIZE", "QUANTITY", "MATERIAL", "CATEGORY", "ANNOTATION",
})  # fmt: skip
_BOUNDARY = "1"


def is_exchange(document: Document) -> bool:
    """Tell a pattern-exchange drawing: blocks with a boundary on layer 1, and its keywords."""
    return bool(piece_blocks(document)) and bool(facts_of(document))


def piece_blocks(document: Document) -> list[BlockLayout]:
    """Give the blocks that hold a piece."""
    return [
        block
        for block in document.blocks
        if not block.name.startswith("*")
        and any(entity.dxf.get("layer") == _BOUNDARY for entity in block if not is_unknown(entity))
    ]


def uninserted_pieces(document: Document) -> list[BlockLayout]:
    """Give the pieces' blocks that neither the model space nor another block inserts."""
    inserted = {
        str(entity.dxf.get("name", "")).lower()
        for space in (document.modelspace(), *document.blocks)
        for entity in space
        if entity.dxftype() == "INSERT"
    }
    return [block for block in piece_blocks(document) if block.name.lower() not in inserted]


def all_words(document: Document) -> list[str]:
    """Give the words of every plain text in the drawing, model space first."""
    spaces = [document.modelspace(), *document.blocks]
    return [
        str(entity.dxf.get("text", ""))
        for space in spaces
        for entity in space
        if entity.dxftype() == "TEXT"
    ]


def facts_of(document: Document) -> dict[str, str]:
    """Give the "KEYWORD: value" texts, keywords in capitals; of several the first counts."""
    facts: dict[str, str] = {}
    for words in all_words(document):
        keyword, colon, value = words.partition(":")
        key = " ".join(keyword.upper().split())
        if colon and key in _KEYWORDS:
            facts.setdefault(key, value.strip())
    return facts


def sorted_exchange(
    curves: Sequence[Curve], spots: Sequence[Spot], texts: Sequence[Text]
) -> tuple[list[Curve], list[Spot], list[Text]]:
    """Sort everything by its layer number and unfold half pieces about their mirror line.

    Curves on a layer without a number of the standard's are notes: the standard has no cuts there.
    """
    sorted_curves = [replace(c, sort=LAYERS.get(c.source.layer, Sort.NOTE)) for c in curves]
    sorted_spots = [replace(s, sort=LAYERS.get(s.source.layer, Sort.NOTE)) for s in spots]
    # Texts with a keyword carry the piece's name and count: they stay unsaid.
    sorted_texts = [replace(t, sort=Sort.UNSAID if ":" in t.words else Sort.NOTE) for t in texts]
    for mirror in [curve for curve in sorted_curves if curve.sort is Sort.MIRROR]:
        sorted_curves, sorted_spots = unfolded(mirror, sorted_curves, sorted_spots)
    kept = [curve for curve in sorted_curves if curve.sort is not Sort.MIRROR]
    return kept, sorted_spots, sorted_texts
