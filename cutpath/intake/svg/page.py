"""How large a drawing is: what one user unit stands for, and where the page's corner lies."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cutpath.errors import InputError
from cutpath.geometry.transform import Matrix, compose, identity
from cutpath.intake.svg.lengths import (
    PX_PER_INCH,
    Ruler,
    is_absolute,
    is_percentage,
    parse_css_length,
)
from cutpath.intake.svg.markup import Node
from cutpath.intake.svg.viewport import ViewBox, fit, parse_view_box
from cutpath.model import Finding
from cutpath.units import MM_PER, unit_factor

_PX = re.compile(r"px(\d+(?:\.\d+)?)?")
_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Page:
    """``to_mm`` maps user units to mm with y up from the page's lower edge.

    ``unit`` says in words what a user unit was taken for.
    """

    to_mm: Matrix
    ruler: Ruler
    unit: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the user said a unit stands for: px to the inch, or mm to the user unit."""

    px_per_inch: float = PX_PER_INCH
    mm: float | None = None


def lay_page(root: Node, declared: Mapping[str, str], units: str | None) -> Page:
    """Read width, height and viewBox of the outermost ``svg``, of which styles say ``declared``.

    ``units`` None: CSS's 96 px to the inch; "px72", "px90": so many px to the inch; "mm", "in" …:
    what one user unit stands for, where the drawing does not say its size in the world.
    Raises InputError for what cannot be read, and for unknown ``units``.
    """
    asked = _asked(units)
    try:
        box = parse_view_box(root.attributes.get("viewBox"))
        sides = [_side(root, declared, name) for name in ("width", "height")]
        says_size = any(is_absolute(side) for side in sides)
        is_said = box is not None and says_size
        mm = None if is_said else asked.mm
        px_per_inch = asked.px_per_inch if mm is None else _INCH / mm
        width, height = _size(sides, box, px_per_inch)
        laid = identity()
        if box is not None and width is not None and height is not None:
            laid = fit(box, root.attributes.get("preserveAspectRatio"), width, height)
    except ValueError as error:
        raise InputError(
            str(error), root.source(), "Mend the size of the outermost svg element."
        ) from None
    # A unit asked for is the drawing's own, inside its viewBox.
    scale = _INCH / px_per_inch / (1.0 if mm is None else float(laid[0, 0]))
    flip = np.array([[scale, 0.0, 0.0], [0.0, -scale, scale * (height or 0.0)]])
    if box is not None:
        width, height = box.width, box.height
    per_unit = scale * float(laid[0, 0])
    unit = _unit_words(per_unit, px_per_inch, is_said=is_said or mm is not None)
    return Page(
        compose(flip, laid),
        Ruler(px_per_inch, width, height),
        unit,
        tuple(_findings(root, asked, is_said=is_said, says_size=says_size, unit=unit)),
    )


def _asked(units: str | None) -> _Asked:
    if units is None:
        return _Asked()
    match = _PX.fullmatch(units.strip().lower())
    if match is not None:
        px_per_inch = float(match[1] or PX_PER_INCH)
        if px_per_inch > 0:
            return _Asked(px_per_inch)
    try:
        return _Asked(mm=unit_factor(units))
    except InputError:
        raise InputError(
            f"unknown unit '{units}'",
            remedy=f"Use one of: {', '.join(MM_PER)}, px, px72 or px90 (so many to the inch).",
        ) from None


def _side(root: Node, declared: Mapping[str, str], name: str) -> str:
    """Give the width or height as it is written: in mm, in … before styles for a screen."""
    own, styled = root.attributes.get(name, "").strip(), declared.get(name, "").strip()
    return next((side for side in (own, styled) if is_absolute(side)), own or styled)


def _size(
    sides: Sequence[str], box: ViewBox | None, px_per_inch: float
) -> tuple[float | None, float | None]:
    """Give the page's size in px; a side that is not said follows from the viewBox."""
    width, height = (_side_in_px(side, px_per_inch) for side in sides)
    if box is None:
        return width, height
    if width is None:
        width = box.width if height is None else height * box.width / box.height
    return width, width * box.height / box.width if height is None else height


def _side_in_px(text: str, px_per_inch: float) -> float | None:
    if text in {"", "auto"} or is_percentage(text):
        return None
    side = parse_css_length(text, Ruler(px_per_inch, None, None))
    if side <= 0:
        raise ValueError(f"a page side of '{text}' is no size")
    return side


def _unit_words(mm: float, px_per_inch: float, *, is_said: bool) -> str:
    if not is_said and abs(mm - _INCH / px_per_inch) < 1e-9 * mm:
        return f"px of 1/{px_per_inch:g} in"
    for name, factor in MM_PER.items():
        if abs(mm - factor) < 1e-6 * factor:
            return name
    return f"{mm:.6g} mm"


def _findings(
    root: Node, asked: _Asked, *, is_said: bool, says_size: bool, unit: str
) -> list[Finding]:
    if is_said and asked.mm is not None and abs(asked.mm - MM_PER.get(unit, 0.0)) > 1e-9:
        return [
            Finding(
                f"the drawing says its own size (one unit is {unit}); the unit given is not used",
                root.source(),
                "Change width and height of its svg element if they are wrong.",
            )
        ]
    if not says_size and asked == _Asked():
        return [
            Finding(
                "the drawing says no size in mm or inches; its units are read as 1/96 in (CSS)",
                root.source(),
                "If the size is wrong, give --units mm, in, px72 or px90.",
            )
        ]
    return []
