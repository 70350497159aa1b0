"""What layers mean: a layer's name sorts what is drawn on it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from cutpath.model import Drawing, Sort

_WORDS: dict[Sort, frozenset[str]] = {
    Sort.NOTE: frozenset(
        {"note", "notes", "remark", "remarks", "title", "dimension", "dimensions"}
    ),
    Sort.TURN: frozenset({"turn", "turns", "corner", "corners"}),
    Sort.NOTCH: frozenset({"notch", "notches", "mark", "marks", "tick", "ticks"}),
    Sort.DRILL: frozenset({"drill", "drills", "punch", "hole", "holes"}),
    Sort.GRAIN: frozenset({"grain", "warp"}),
    Sort.SEW: frozenset({"stitch", "stitches", "sew", "sewing"}),
    Sort.CUTOUT: frozenset({"cutout", "cutouts", "opening", "openings"}),
    Sort.DRAWN: frozenset({"pen", "draw", "drawn", "fold", "folds"}),
    Sort.OUTLINE: frozenset({"cut", "outline", "outlines", "panel", "panels", "boundary"}),
}
"""Words that say what a layer is for; the first sort with a word in the name wins."""


def sort_of_layer(name: str) -> Sort:
    """Give what a layer called ``name`` is for; ``UNSAID`` when its name does not say."""
    words = {word.lower() for word in re.findall(r"[A-Za-z]+", name)}
    if {"cut", "out"} <= words:
        return Sort.CUTOUT
    return next((sort for sort, known in _WORDS.items() if words & known), Sort.UNSAID)


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
