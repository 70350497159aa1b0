"""Where words stand in a drawing of all panels: their names, and the letters of their seams."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cutpath.geometry.measure import bounds, length, points_at_stations
from cutpath.geometry.points import Point, as_point, left_of
from cutpath.planning import Planned

_SHARE, _INSIDE = 0.42, 45.0
"""A seam's letter stands at this share of its edge, so many mm inside: beside the middle mark."""


@dataclass(frozen=True, slots=True, eq=False)
class PanelWord:
    """One word and the middle of its place, mm; ``is_letter`` for a seam's letter."""

    text: str
    at: Point
    is_letter: bool


def panel_words(planned: Planned) -> Iterator[PanelWord]:
    """Give the words of the traced panels; letters only of seams whose panels are both traced."""
    panels = {panel.name: panel for panel in planned.traced}
    for panel in planned.traced:
        low_x, low_y, high_x, high_y = bounds(panel.outline)
        yield PanelWord(panel.name, as_point((low_x + high_x, low_y + high_y)) / 2, is_letter=False)
    for seam in planned.seams:
        if not {seam.first.panel, seam.second.panel} <= panels.keys():
            continue
        for name in (seam.first, seam.second):
            chain = panels[name.panel].edge(name.edge).chain
            at, along = points_at_stations(chain, np.array([length(chain) * _SHARE]))
            # Outlines run counter-clockwise: inside lies to the left.
            yield PanelWord(seam.letter, at[0] + _INSIDE * left_of(along)[0], is_letter=True)
