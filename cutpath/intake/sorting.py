"""What layers mean: a layer's name sorts what is drawn on it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from cutpath.model import Drawing, Sort

_WORDS: dict[Sort, str] = {
    Sort.NOTE: "note remark title dimension",
    Sort.TURN: "turn corner",
    Sort.DRILL: "drill punch",
    Sort.GRAIN: "grain warp",
    Sort.NOTCH: "notch mark tick",
    Sort.SEW: "stitch stitching sew sewing",
    Sort.CUTOUT: "cutout opening inner",
    Sort.DRAWN: "pen draw drawn drawing fold",
    Sort.OUTLINE: "cut outline panel boundary",
}
"""Words that say what a layer is for; the first sort with a word in the name wins.

So "drill marks" are drilled and "inner cuts" are cutouts. A hole may be drilled or cut, so that
word says nothing: its size tells.
"""
_SORT_OF = {word: sort for sort, words in _WORDS.items() for word in words.split()}
_RANK = list(_WORDS)
_WORD = re.compile(r"[A-Z]?[a-z]+|[A-Z]+(?![a-z])")


def sort_of_layer(name: str) -> Sort:
    """Give what a layer called ``name`` is for; ``UNSAID`` when its name does not say."""
    words = [word.lower() for word in _WORD.findall(name)]
    if {"cut", "out"} <= set(words):
        return Sort.CUTOUT
    said = {_SORT_OF[stem] for word in words for stem in _stems(word) if stem in _SORT_OF}
    return next((sort for sort in _RANK if sort in said), Sort.UNSAID)


def _stems(word: str) -> set[str]:
    """Give ``word``, without its plural, and without a "line" or "point" it is written one with."""
    found = {word}
    for ending in ("s", "es"):
        found |= {stem.removesuffix(ending) for stem in found}
    return found | {stem.removesuffix(end) for stem in found for end in ("line", "point", "hole")}


def sort_by_layer(drawing: Drawing, layers: Mapping[str, Sort] | None = None) -> Drawing:
    """Give ``drawing`` with everything still unsaid sorted by its layer.

    ``layers`` are the job's own, by exact name, and win over the words in a name.
    """
    own = dict(layers or {})
    known: dict[str, Sort] = {}

    def sort(current: Sort, layer: str) -> Sort:
        if current is not Sort.UNSAID:
            return current
        if layer not in known:
            known[layer] = own.get(layer, sort_of_layer(layer))
        return known[layer]

    return replace(
        drawing,
        curves=tuple(replace(c, sort=sort(c.sort, c.source.layer)) for c in drawing.curves),
        spots=tuple(replace(s, sort=sort(s.sort, s.source.layer)) for s in drawing.spots),
        texts=tuple(replace(t, sort=sort(t.sort, t.source.layer)) for t in drawing.texts),
    )
