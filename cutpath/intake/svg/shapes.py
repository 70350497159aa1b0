"""The basic shapes and paths to outlines in user units (SVG 1.1, chapters 8 and 9)."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from cutpath.intake.svg.lengths import Ruler, parse_css_length
from cutpath.intake.svg.outline import XY, Pencil
from cutpath.intake.svg.path_data import Drawn, parse_path_data, parse_points

_QUARTER = math.tan(math.pi / 8)


@dataclass(frozen=True, slots=True)
class Said:
    """What one element says of itself, and the ruler that its lengths are measured by."""

    values: Mapping[str, str]
    ruler: Ruler

    def length(self, name: str, axis: str, default: float = 0.0) -> float:
        """Give a length in user units.

        Raises ValueError, with words for the user, when it is none.
        """
        text = self.values.get(name, "").strip()
        if text in {"", "auto"}:
            return default
        try:
            return parse_css_length(text, self.ruler, axis)
        except ValueError as error:
            raise ValueError(f"{name}: {error}") from None


def _path(said: Said) -> Drawn:
    return parse_path_data(said.values.get("d", ""))


def _line(said: Said) -> Drawn:
    pencil = Pencil()
    pencil.move((said.length("x1", "x"), said.length("y1", "y")))
    pencil.line((said.length("x2", "x"), said.length("y2", "y")))
    return Drawn(pencil.outlines)


def _polyline(said: Said) -> Drawn:
    points, fault = parse_points(said.values.get("points", ""))
    pencil = Pencil()
    if len(points) > 1:
        pencil.move(points[0])
        pencil.lines(points[1:])
    return Drawn(pencil.outlines, fault)


def _polygon(said: Said) -> Drawn:
    points, fault = parse_points(said.values.get("points", ""))
    pencil = Pencil()
    if len(points) > 1:
        pencil.move(points[0])
        pencil.lines(points[1:])
        pencil.close()
    return Drawn(pencil.outlines, fault)


def _circle(said: Said) -> Drawn:
    radius = said.length("r", "both")
    return _round(said, (radius, radius))


def _ellipse(said: Said) -> Drawn:
    # One radius alone serves for both (SVG 2, section 7.4: "auto").
    rx, ry = said.length("rx", "x", math.nan), said.length("ry", "y", math.nan)
    rx, ry = (ry if math.isnan(rx) else rx), (rx if math.isnan(ry) else ry)
    return _round(said, (rx, ry)) if rx == rx else Drawn([])  # noqa: PLR0124 (NaN: none is said)


def _round(said: Said, radii: XY) -> Drawn:
    if min(radii) < 0:
        return Drawn([], "its radius is negative")
    if min(radii) == 0:
        return Drawn([])
    x, y = said.length("cx", "x"), said.length("cy", "y")
    pencil = Pencil()
    pencil.move((x + radii[0], y))
    pencil.bend(radii, 0.0, 1.0, (x - radii[0], y))
    pencil.bend(radii, 0.0, 1.0, (x + radii[0], y))
    pencil.close()
    return Drawn(pencil.outlines)


def _rect(said: Said) -> Drawn:
    x, y = said.length("x", "x"), said.length("y", "y")
    width, height = said.length("width", "x"), said.length("height", "y")
    if min(width, height) < 0:
        return Drawn([], "its size is negative")
    if min(width, height) == 0:
        return Drawn([])
    rx, ry = _corner_radii(said, width, height)
    right, bottom = x + width, y + height
    pencil = Pencil()
    if min(rx, ry) <= 0:
        pencil.move((x, y))
        pencil.lines([(right, y), (right, bottom), (x, bottom)])
    else:
        pencil.move((x + rx, y))
        for straight, round_end in (
            ((right - rx, y), (right, y + ry)),
            ((right, bottom - ry), (right - rx, bottom)),
            ((x + rx, bottom), (x, bottom - ry)),
            ((x, y + ry), (x + rx, y)),
        ):
            if math.dist(pencil.at, straight) > 1e-12 * max(width, height):
                pencil.line(straight)
            pencil.bend((rx, ry), 0.0, _QUARTER, round_end)
    pencil.close()
    return Drawn(pencil.outlines)


def _corner_radii(said: Said, width: float, height: float) -> XY:
    """Give rx and ry: one serves for both, neither is more than half a side (SVG 1.1, 9.2)."""
    rx, ry = said.length("rx", "x", -1.0), said.length("ry", "y", -1.0)
    rx, ry = (ry if rx < 0 else rx), (rx if ry < 0 else ry)
    return min(rx, width / 2), min(ry, height / 2)


SHAPES: dict[str, Callable[[Said], Drawn]] = {
    "path": _path,
    "rect": _rect,
    "circle": _circle,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": _polyline,
    "polygon": _polygon,
}
"""What is drawn, by the element's name. Each raises ValueError for a length that is none."""
