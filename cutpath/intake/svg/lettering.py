"""What a ``text`` element says, line by line, and where it begins."""

from __future__ import annotations

from dataclasses import dataclass

from cutpath.intake.svg.lengths import Ruler, font_size_in, parse_css_length
from cutpath.intake.svg.markup import Node
from cutpath.intake.svg.outline import XY
from cutpath.intake.svg.styles import Styles


@dataclass(frozen=True, slots=True)
class Words:
    """Lines of a text, in user units; a ``tspan`` that moves up or down begins a new line."""

    text: str
    at: XY
    size: float


def words_of(node: Node, styles: Styles, ruler: Ruler) -> Words | None:
    """Give the words of a ``text`` element; None when it shows none.

    Raises ValueError, with words for the user, for a position that is no length.
    """
    lines: list[str] = [""]
    places: list[tuple[Node, Ruler]] = [(node, ruler)]
    _collect(node, styles, ruler, lines, places)
    said = [" ".join(line.split()) for line in lines]
    text = "\n".join(line for line in said if line)
    if not text:
        return None
    x = _position(places, "x") + _position(places, "dx")
    y = _position(places, "y") + _position(places, "dy")
    return Words(text, (x, y), places[-1][1].font_size)


def _collect(
    node: Node, styles: Styles, ruler: Ruler, lines: list[str], places: list[tuple[Node, Ruler]]
) -> None:
    for part in node.content:
        if isinstance(part, str):
            lines[-1] += part
            continue
        declared = styles.declared(part)
        if part.name not in {"tspan", "textPath", "a"} or declared.get("display") == "none":
            continue
        inner = sized(ruler, declared.get("font-size"), declared.get("font"))
        has_words = any(line.strip() for line in lines)
        if has_words and any(part.attributes.get(name, "0") != "0" for name in ("y", "dy")):
            lines.append("")
        elif not has_words:
            places.append((part, inner))
        _collect(part, styles, inner, lines, places)


def sized(ruler: Ruler, size: str | None, font: str | None) -> Ruler:
    """Give ``ruler`` with the font's size that is said here, by ``font-size`` or ``font``."""
    if size is None and font is not None:
        # "italic 12px/1.2 serif": the size is the first word that begins with a digit.
        sizes = (word.partition("/")[0] for word in font.split() if word[:1].isdigit())
        size = next((word for word in sizes if not word.isdigit()), None)
    if size is None:
        return ruler
    return Ruler(ruler.px_per_inch, ruler.width, ruler.height, font_size_in(size, ruler))


def _position(places: list[tuple[Node, Ruler]], name: str) -> float:
    """Give the first of the listed positions, the innermost element's before the outer ones'."""
    for node, ruler in reversed(places):
        listed = node.attributes.get(name, "").replace(",", " ").split()
        if listed:
            return parse_css_length(listed[0], ruler, name[-1])
    return 0.0
