"""Transform lists, as attributes (SVG 1.1, section 7.6) and as CSS properties write them."""

from __future__ import annotations

import math
import re

import numpy as np

from cutpath.geometry.transform import Matrix, compose, identity, rotation, scaling, translation
from cutpath.intake.svg.lengths import LARGEST, NUMBER, Ruler, parse_css_length, quoted

_FUNCTION = re.compile(r"[\s,]*([A-Za-z]+)\s*\(([^()]*)\)")
_ARGUMENT = re.compile(rf"[\s,]*({NUMBER})\s*([a-zA-Z%]*)")
_ANGLE_UNITS = {"deg": 1.0, "": 1.0, "rad": 180 / math.pi, "grad": 0.9, "turn": 360.0}


def parse_transform(text: str, ruler: Ruler) -> Matrix:
    """Give the matrix of a transform list; the rightmost acts on a point first.

    Raises ValueError, with words for the user, for anything that is not one.
    """
    if text.strip() in {"", "none"}:
        return identity()
    matrices: list[Matrix] = []
    at = 0
    while match := _FUNCTION.match(text, at):
        matrices.append(_function(match[1], match[2], ruler))
        at = match.end()
    if text[at:].strip() or not matrices:
        raise ValueError(f"the transform {quoted(text)} cannot be read")
    out = compose(*matrices)
    if not np.abs(out).max() <= LARGEST:
        raise ValueError(f"the transform {quoted(text)} is too large")
    return out


def parse_origin(text: str, ruler: Ruler) -> Matrix:
    """Give the shift to a ``transform-origin`` written as one or two lengths.

    Raises ValueError for other forms.
    """
    parts = text.replace(",", " ").split()
    words = {"left": "0", "top": "0"}
    if not 1 <= len(parts) <= 2:
        raise ValueError(f"the transform-origin {quoted(text)} cannot be read")
    x, y = (words.get(part, part) for part in [*parts, "50%"][:2])
    return translation(parse_css_length(x, ruler, "x"), parse_css_length(y, ruler, "y"))


def _function(name: str, arguments: str, ruler: Ruler) -> Matrix:
    values, at = [], 0
    while match := _ARGUMENT.match(arguments, at):
        values.append((float(match[1]), match[2]))
        at = match.end()
    wanted = _COUNTS.get(name)
    if any(abs(number) > LARGEST for number, _ in values):
        raise ValueError(f"{quoted(f'{name}({arguments.strip()})')} is too large")
    if arguments[at:].strip() or wanted is None or len(values) not in wanted:
        raise ValueError(f"{quoted(f'{name}({arguments.strip()})')} is not a transform")
    if name == "matrix":
        return np.array([number for number, _ in values]).reshape(3, 2).T
    if name.startswith("translate"):
        shift = [_shift(value, ruler, axis) for value, axis in zip(values, "xy", strict=False)]
        return (
            translation(0.0, shift[0])
            if name[-1] == "Y"
            else translation(*shift, *[0.0][: 2 - len(shift)])
        )
    if name.startswith("scale"):
        factors = [number / 100 if unit == "%" else number for number, unit in values]
        return _scaling(name, factors)
    return _turned(name, values, ruler)


_COUNTS = {
    "matrix": {6},
    "translate": {1, 2},
    "translateX": {1},
    "translateY": {1},
    "scale": {1, 2},
    "scaleX": {1},
    "scaleY": {1},
    "rotate": {1, 3},
    "skewX": {1},
    "skewY": {1},
}


def _shift(value: tuple[float, str], ruler: Ruler, axis: str) -> float:
    return parse_css_length(f"{value[0]!r}{value[1]}", ruler, axis)


def _scaling(name: str, factors: list[float]) -> Matrix:
    if name == "scaleX":
        return scaling(factors[0], 1.0)
    if name == "scaleY":
        return scaling(1.0, factors[0])
    return scaling(*factors)


def _turned(name: str, values: list[tuple[float, str]], ruler: Ruler) -> Matrix:
    number, unit = values[0]
    if unit not in _ANGLE_UNITS:
        raise ValueError(f"'{unit}' is not a unit of angle")
    degrees = number * _ANGLE_UNITS[unit]
    if name == "rotate":
        about = None
        if len(values) == 3:
            about = np.array([_shift(values[1], ruler, "x"), _shift(values[2], ruler, "y")])
        return _exact_rotation(degrees, about)
    slope = math.tan(math.radians(degrees))
    x, y = (slope, 0.0) if name == "skewX" else (0.0, slope)
    return np.array([[1.0, x, 0.0], [y, 1.0, 0.0]])


def _exact_rotation(degrees: float, about: np.ndarray | None) -> Matrix:
    """Turn by whole quarters without the last-digit noise of cos(90°)."""
    matrix = rotation(math.radians(math.fmod(degrees, 360.0)))
    if degrees % 90 == 0:
        matrix = np.round(matrix)
    if about is not None:
        matrix[:, 2] = about - matrix[:, :2] @ about
    return matrix
