"""What stands on an SVG page, read back: lines, words and the room they take."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

from cutpath.sheet.words import text_width

_SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Word:
    """One text; ``box`` is left, top, right, bottom of the room it takes."""

    text: str
    size: float
    box: tuple[float, float, float, float]
    layer: str


@dataclass(frozen=True)
class Line:
    start: tuple[float, float]
    end: tuple[float, float]
    weight: float
    is_dashed: bool


class PageRead:
    def __init__(self, svg: str) -> None:
        self.root = ET.fromstring(svg)
        _, _, self.width, self.height = (float(v) for v in self.root.get("viewBox", "").split())

    def layer(self, name: str) -> list[ET.Element]:
        return [node for group in self._groups(name) for node in group]

    def _groups(self, name: str) -> list[ET.Element]:
        return [group for group in self.root.iter(f"{_SVG}g") if group.get("id") == name]

    def lines(self, layer: str) -> list[Line]:
        out = []
        for node in self.layer(layer):
            if node.tag == f"{_SVG}line":
                x1, y1, x2, y2 = (float(node.get(key, "")) for key in ("x1", "y1", "x2", "y2"))
                weight = float(node.get("stroke-width", ""))
                out.append(
                    Line((x1, y1), (x2, y2), weight, node.get("stroke-dasharray") is not None)
                )
        return out

    def boxes(self, layer: str, fill: str) -> list[tuple[float, float, float, float]]:
        """Give x, y, width, height of the filled rectangles of a layer."""
        keys = ("x", "y", "width", "height")
        out = []
        for node in self.layer(layer):
            if node.tag == f"{_SVG}rect" and node.get("fill") == fill:
                x, y, width, height = (float(node.get(key, "0")) for key in keys)
                out.append((x, y, width, height))
        return out

    def words(self, layer: str | None = None) -> list[Word]:
        out = []
        for group in self.root.iter(f"{_SVG}g"):
            name = group.get("id", "")
            if layer in {None, name}:
                out += [_word(node, name) for node in group if node.tag == f"{_SVG}text"]
        return out

    def texts(self, layer: str | None = None) -> list[str]:
        return [word.text for word in self.words(layer)]


def _word(node: ET.Element, layer: str) -> Word:
    text = node.text or ""
    size = float(node.get("font-size", ""))
    wide = text_width(text, size, bold=node.get("font-weight") == "bold")
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[node.get("text-anchor", "start")]
    x, y = float(node.get("x", "")), float(node.get("y", ""))
    corners = [
        (along, up) for along in (-back * wide, (1 - back) * wide) for up in (-0.72 * size, 0.0)
    ]
    turn = re.match(r"rotate\((\S+) ", node.get("transform", ""))
    angle = math.radians(float(turn[1])) if turn else 0.0
    cos, sin = math.cos(angle), math.sin(angle)
    xs = [x + a * cos - b * sin for a, b in corners]
    ys = [y + a * sin + b * cos for a, b in corners]
    return Word(text, size, (min(xs), min(ys), max(xs), max(ys)), layer)


def overlapping(words: list[Word]) -> list[tuple[str, str]]:
    """Give pairs of texts whose boxes overlap by more than rounding."""
    out = []
    for index, one in enumerate(words):
        for other in words[:index]:
            wide = min(one.box[2], other.box[2]) - max(one.box[0], other.box[0])
            high = min(one.box[3], other.box[3]) - max(one.box[1], other.box[1])
            if wide > 0.02 and high > 0.02:
                out.append((other.text, one.text))
    return out


def off_page(page: PageRead, margin: float) -> list[str]:
    """Give the texts that do not lie within the page's margins."""
    return [
        word.text
        for word in page.words()
        if word.box[0] < margin
        or word.box[1] < margin
        or word.box[2] > page.width - margin
        or word.box[3] > page.height - margin
    ]
