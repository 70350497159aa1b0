"""Pages as SVG, one file a page, in mm."""

from __future__ import annotations

import math
from collections.abc import Callable

import svgwrite
from svgwrite.container import Group

from cutpath.geometry.chain import Chain
from cutpath.geometry.transform import arcs_as_cubics
from cutpath.paper.page import STYLES, Drawing, Line, Page, Words

_CLOSE = 0.005
_Placing = Callable[[float, float], tuple[float, float]]


def svg_of(page: Page) -> str:
    """Give one page as SVG text; one user unit is 1 mm, y down as SVG has it."""
    width, height = _number(page.width), _number(page.height)
    drawing = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"),
        viewBox=f"0 0 {width} {height}",
        debug=False,
        font_family="sans-serif",
    )
    drawing.set_desc(title=page.title)
    x0, y0, x1, y1 = page.room
    clip = drawing.defs.add(drawing.clipPath(id="room"))
    size = (_number(x1 - x0), _number(y1 - y0))
    clip.add(drawing.rect((_number(x0), _number(page.height - y1)), size))
    clipped = drawing.add(drawing.g(clip_path="url(#room)"))
    _draw(drawing, clipped, page.pattern, page, page.scale)
    _draw(drawing, drawing.add(drawing.g(id="head")), page.frame, page, (1.0, 1.0))
    return str(drawing.tostring()) + "\n"


def _draw(
    drawing: svgwrite.Drawing, into: Group, what: Drawing, page: Page, scale: tuple[float, float]
) -> None:
    middle = (page.width / 2, page.height / 2)

    def placed(x: float, y: float) -> tuple[float, float]:
        return (
            middle[0] + (x - middle[0]) * scale[0],
            page.height - (middle[1] + (y - middle[1]) * scale[1]),
        )

    for line in Line:
        chains = [stroke.chain for stroke in what.strokes if stroke.line is line]
        if not chains:
            continue
        weight, dashes = STYLES[line]
        style = {"stroke": "#111111", "stroke_width": _number(weight), "fill": "none"}
        if dashes:
            style["stroke_dasharray"] = " ".join(_number(part) for part in dashes)
        group = into.add(drawing.g(id=line.value, **style))
        for chain in chains:
            group.add(drawing.path(d=_data(chain, placed)))
    for words in what.words:
        _write(drawing, into, words, placed)


def _data(chain: Chain, placed: _Placing) -> str:
    cubics = arcs_as_cubics(chain, _CLOSE)
    is_cubic = cubics.is_cubic.tolist()
    parts = ["M" + _pair(placed(*cubics.first.tolist()))]
    ends, handles = cubics.ends.tolist(), cubics.handles.tolist()
    for index, end in enumerate(ends):
        if is_cubic[index]:
            inner = " ".join(_pair(placed(*handle)) for handle in handles[index])
            parts.append(f"C{inner} {_pair(placed(*end))}")
        else:
            parts.append("L" + _pair(placed(*end)))
    return "".join(parts) + ("Z" if chain.closed else "")


def _write(drawing: svgwrite.Drawing, into: Group, words: Words, placed: _Placing) -> None:
    x, y = placed(*words.at.tolist())
    style = {"font_size": _number(words.size), "text_anchor": "middle"}
    if words.bold:
        style["font_weight"] = "bold"
    if words.angle:
        turn = _number(-math.degrees(words.angle))
        style["transform"] = f"rotate({turn} {_number(x)} {_number(y)})"
    into.add(drawing.text(words.text, (_number(x), _number(y)), **style))


def _pair(place: tuple[float, float]) -> str:
    return f"{_number(place[0])} {_number(place[1])}"


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
