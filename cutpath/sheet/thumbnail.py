"""Small pictures of pieces for lists."""

from __future__ import annotations

import math

from cutpath.geometry.measure import bounds
from cutpath.model import Piece
from cutpath.sheet.svg_lines import number, path_data


def thumbnail(piece: Piece, width: float = 34.0, height: float = 24.0) -> str:
    """Give a picture of ``piece`` in a box of mm: cut line heavy, stitch line thin, grain an arrow.

    The SVG text has no ids, so that many may stand on one page.
    """
    x0, y0, x1, y1 = bounds(piece.cut)
    scale = min((width - 2) / max(x1 - x0, 1e-9), (height - 2) / max(y1 - y0, 1e-9))
    # One unit is a mm of cloth; lines keep their width on paper.
    left, low = (x0 + x1 - width / scale) / 2, (y0 + y1 - height / scale) / 2
    box = f"{number(left)} 0 {number(width / scale)} {number(height / scale)}"
    top = low + height / scale
    lines = [
        f'<path d="{path_data(piece.cut, top)}" class="cut"/>',
        f'<path d="{path_data(piece.net, top)}" class="net"/>',
        *(f'<path d="{path_data(loop, top)}" class="cut"/>' for loop in piece.inner_cuts),
        *(f'<path d="{path_data(notch, top)}" class="net"/>' for notch in piece.notches),
    ]
    if piece.grain is not None:
        lines.append(_arrow(piece, top, 0.3 * min(x1 - x0, y1 - y0)))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" '
        f'height="{number(height)}mm" viewBox="{box}" role="img" '
        f'aria-label="outline of the piece">{"".join(lines)}</svg>'
    )


def _arrow(piece: Piece, top: float, reach: float) -> str:
    x0, y0, x1, y1 = bounds(piece.net)
    x, y = (x0 + x1) / 2, top - (y0 + y1) / 2
    angle = -(piece.grain or 0.0)
    dx, dy = reach * math.cos(angle), reach * math.sin(angle)
    head = 0.22
    tip = (x + dx, y + dy)
    wings = []
    for side in (-0.5, 0.5):
        wing = angle + math.pi + side
        wings.append(
            f"M{number(tip[0])} {number(tip[1])}"
            f"L{number(tip[0] + 2 * head * reach * math.cos(wing))} "
            f"{number(tip[1] + 2 * head * reach * math.sin(wing))}"
        )
    shaft = f"M{number(x - dx)} {number(y - dy)}L{number(tip[0])} {number(tip[1])}"
    return f'<path d="{shaft}{"".join(wings)}" class="grain"/>'
