"""viewBox and preserveAspectRatio: how a box of user units fills a viewport (SVG 1.1, 7.7-7.8).

Nested viewports are those of an ``svg`` inside another and of a ``symbol`` that is used.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from cutpath.geometry.transform import Matrix, compose, translation
from cutpath.intake.svg.lengths import LARGEST, NUMBER, Ruler, quoted
from cutpath.intake.svg.shapes import Said

_BOX = re.compile(r"[\s,]*".join(["", *[rf"({NUMBER})"] * 4, ""]))
_RATIO = re.compile(
    r"\s*(?:defer\s+)?(?:(none)|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?\s*"
)
_SHARE = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


@dataclass(frozen=True, slots=True)
class ViewBox:
    """A box of user units: its corner and its size."""

    x: float
    y: float
    width: float
    height: float


def parse_view_box(text: str | None) -> ViewBox | None:
    """Give a ``viewBox``; None where there is none.

    Raises ValueError, with words for the user, for one that cannot be read or has no size.
    """
    if text is None or text.strip() in {"", "none"}:
        return None
    match = _BOX.fullmatch(text)
    if match is None:
        raise ValueError(f"the viewBox {quoted(text)} is not four numbers")
    box = ViewBox(*(float(number) for number in match.groups()))
    if not (box.width > 0 and box.height > 0):
        raise ValueError(f"the viewBox {quoted(text)} has no size")
    if max(map(abs, (box.x, box.y, box.width, box.height))) > LARGEST:
        raise ValueError(f"the viewBox {quoted(text)} is too large")
    return box


def fit(box: ViewBox, ratio: str | None, width: float, height: float) -> Matrix:
    """Give the matrix that lays ``box`` into a viewport of ``width`` × ``height`` at the origin.

    Raises ValueError for a preserveAspectRatio that cannot be read.
    """
    match = _RATIO.fullmatch(ratio or "xMidYMid meet")
    if match is None:
        raise ValueError(f"the preserveAspectRatio {quoted(ratio or '')} cannot be read")
    sx, sy = width / box.width, height / box.height
    if match[1] is None:
        sx = sy = max(sx, sy) if match[4] == "slice" else min(sx, sy)
    spare_x = (width - box.width * sx) * _SHARE[match[2] or "Min"]
    spare_y = (height - box.height * sy) * _SHARE[match[3] or "Min"]
    return np.array([[sx, 0.0, spare_x - box.x * sx], [0.0, sy, spare_y - box.y * sy]])


def nested_viewport(said: Said) -> tuple[Matrix, Ruler] | None:
    """Give the matrix from the units inside to those outside, and the ruler inside.

    A size that is not said is all of the viewport around. None for a viewport of no size, which
    shows nothing. Raises ValueError, with words for the user, for what cannot be read.
    """
    width, height = _side(said, "width", "x"), _side(said, "height", "y")
    if width == 0 or height == 0:
        return None
    matrix = translation(said.length("x", "x"), said.length("y", "y"))
    box = parse_view_box(said.values.get("viewBox"))
    if box is None:
        return matrix, replace(said.ruler, width=width, height=height)
    across = box.width if width is None else width
    along = box.height if height is None else height
    laid = fit(box, said.values.get("preserveAspectRatio"), across, along)
    return compose(matrix, laid), replace(said.ruler, width=box.width, height=box.height)


def _side(said: Said, name: str, axis: str) -> float | None:
    if said.values.get(name, "auto").strip() in {"", "auto"}:
        return said.ruler.across(axis)
    side = said.length(name, axis)
    if side < 0:
        raise ValueError(f"its {name} is negative")
    return side


def with_size(target: Mapping[str, str], use: Mapping[str, str]) -> Mapping[str, str]:
    """Give what a used symbol or svg says, the ``use``'s own width and height before its own.

    An svg's own x and y count; a symbol has none (SVG 2, section 5.6.2).
    """
    return {**target, **{name: use[name] for name in ("width", "height") if name in use}}
