"""SVG texts for the tests, and what they need to say about a drawing."""

from __future__ import annotations

from collections.abc import Callable

from cutpath.geometry.measure import bounds
from cutpath.model import Drawing, Finding

Read = Callable[..., tuple[Drawing, tuple[Finding, ...]]]
"""The fixture ``read``: the inside of an svg element, its page, units and a head."""
MM_PAGE = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
XLINK = 'xmlns:xlink="http://www.w3.org/1999/xlink"'


def boxes(drawing: Drawing) -> list[list[float]]:
    """Give the box of each curve, mm to six places."""
    return [[round(number, 6) for number in bounds(curve.chain)] for curve in drawing.curves]
