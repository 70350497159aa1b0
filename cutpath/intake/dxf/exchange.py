"""Sewn-products pattern exchange drawings (ASTM D6673): a piece a block, numbered layers.

The layer numbers were read from a public summary of the standard, not from its text; how notch
depth and width are stored was not confirmed, so notches are taken as places only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from ezdxf.document import Drawing as Document

from cutpath.geometry.chain import Chain, closed_up, joined, opened, reversed_chain, started_at
from cutpath.geometry.points import Points
from cutpath.geometry.splitting import between_joints
from cutpath.geometry.transform import Matrix, moved_points, reflection, transformed
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
_KEYWORDS = ("PIECE NAME", "STYLE NAME", "SAMPLE SIZE", "UNITS", "QUANTITY")
_ON_LINE = 0.5


def is_exchange(document: Document) -> bool:
    """Tell a pattern-exchange drawing: blocks with a boundary on layer 1, and its keywords."""
    blocks = [block for block in document.blocks if not block.name.startswith("*")]
    bounded = any(entity.dxf.get("layer") == "1" for block in blocks for entity in block)
    return bounded and bool(facts_of(document))


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
    """Give the style's "KEYWORD: value" texts, keywords in capitals."""
    facts: dict[str, str] = {}
    for words in all_words(document):
        keyword, colon, value = words.partition(":")
        key = " ".join(keyword.upper().split())
        if colon and any(key == known for known in _KEYWORDS):
            facts.setdefault(key, value.strip())
    return facts


def sorted_exchange(
    curves: Sequence[Curve], spots: Sequence[Spot], texts: Sequence[Text]
) -> tuple[list[Curve], list[Spot], list[Text]]:
    """Sort everything by its layer number and unfold half pieces about their mirror line."""
    sorted_curves = [replace(c, sort=LAYERS.get(c.source.layer, Sort.NOTE)) for c in curves]
    sorted_spots = [replace(s, sort=LAYERS.get(s.source.layer, Sort.NOTE)) for s in spots]
    # Texts on the boundary's layer carry the piece's name and count: they stay unsaid.
    sorted_texts = [replace(t, sort=Sort.UNSAID if ":" in t.words else Sort.NOTE) for t in texts]
    for mirror in [curve for curve in sorted_curves if curve.sort is Sort.MIRROR]:
        _unfold(mirror, sorted_curves, sorted_spots)
    kept = [curve for curve in sorted_curves if curve.sort is not Sort.MIRROR]
    return kept, sorted_spots, sorted_texts


def _unfold(mirror: Curve, curves: list[Curve], spots: list[Spot]) -> None:
    """Add the mirror image of the piece that ``mirror`` halves."""
    through, far = mirror.chain.first, mirror.chain.last
    along = far - through
    along = along / np.hypot(*along)
    matrix = reflection(through, along)
    for index, curve in enumerate(curves):
        if curve.group != mirror.group or curve.sort in {Sort.MIRROR, Sort.GRAIN, Sort.NOTE}:
            continue
        if curve.sort is Sort.OUTLINE:
            whole = _unfolded(curve.chain, matrix, through, along)
            if whole is not None:
                curves[index] = replace(curve, chain=whole)
                continue
        if curve.sort is not Sort.OUTLINE:
            curves.append(replace(curve, chain=transformed(curve.chain, matrix)))
    here = [s for s in spots if s.group == mirror.group]
    for spot in here:
        image = moved_points(spot.xy[None], matrix)[0]
        if float(np.hypot(*(image - spot.xy))) > _ON_LINE:
            spots.append(replace(spot, xy=image))


def _unfolded(chain: Chain, matrix: Matrix, through: Points, along: Points) -> Chain | None:
    """Give half an outline joined with its image; the side on the mirror line goes."""
    away = np.abs((chain.points - through) @ np.array([-along[1], along[0]]))
    on_line = away <= _ON_LINE
    if chain.closed:
        count = len(chain)
        sides = [i for i in range(count) if on_line[i] and on_line[(i + 1) % count]]
        if not sides:
            return None
        turned = opened(started_at(chain, (sides[-1] + 1) % count))
        half = between_joints(turned, 0, count - len(sides))
    elif on_line[0] and on_line[-1]:
        half = chain
    else:
        return None
    image = reversed_chain(transformed(half, matrix))
    return closed_up(joined([half, image]))
