"""Types for settings that carry a unit; each accepts "12.7 mm", "1/2 in" or a bare number."""

from __future__ import annotations

import math
import re
from typing import Annotated

from pydantic import BeforeValidator, ValidationInfo, WithJsonSchema

from cutpath.errors import CutpathError
from cutpath.units import parse_length

_ANGLE = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?)\s*(deg|degrees|°|rad)?\s*")
_TIME = re.compile(r"\s*((?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?)\s*(s|ms|min)?\s*")
IN_RADIANS = {"angles": "radians"}
"""The context of validation for settings that cutpath itself wrote: bare angles are radians."""
_LENGTH_PATTERN = r"^\s*[+-]?[0-9./ -]+\s*(mm|cm|m|in|ft|yd|\"|')?\s*$"


def _length(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError('a length is a number or text like "12.7 mm"')  # noqa: TRY004
    try:
        return parse_length(value)
    except CutpathError as error:
        raise ValueError(f"{error.message}. {error.remedy}") from error


def _extent(value: object) -> float:
    length = _length(value)
    if length < 0:
        raise ValueError("must not be negative")
    return length


def _size(value: object) -> float:
    length = _length(value)
    if length <= 0:
        raise ValueError("must be more than 0")
    return length


def _number(value: object, pattern: re.Pattern[str], example: str) -> tuple[float, str]:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(f"write it like {example}")  # noqa: TRY004
    match = pattern.fullmatch(str(value))
    if match is None:
        raise ValueError(f"'{value}' is not understood; write it like {example}")
    return float(match[1]), match[2] or ""


def _angle(value: object, info: ValidationInfo) -> float:
    number, unit = _number(value, _ANGLE, '"25 deg"')
    is_radians = unit == "rad" or (not unit and info.context == IN_RADIANS)
    return number if is_radians else math.radians(number)


def _seconds(value: object) -> float:
    number, unit = _number(value, _TIME, '"0.2 s"')
    return number * {"ms": 1e-3, "min": 60.0}.get(unit, 1.0)


def _schema(words: str, pattern: str) -> WithJsonSchema:
    return WithJsonSchema(
        {
            "anyOf": [{"type": "number"}, {"type": "string", "pattern": pattern}],
            "description": words,
        }
    )


Length = Annotated[
    float, BeforeValidator(_length), _schema("length; mm unless a unit is given", _LENGTH_PATTERN)
]
"""Any length, in mm."""
Extent = Annotated[float, BeforeValidator(_extent), _schema("length of 0 or more", _LENGTH_PATTERN)]
"""A length of 0 or more, in mm."""
Size = Annotated[float, BeforeValidator(_size), _schema("length of more than 0", _LENGTH_PATTERN)]
"""A length of more than 0, in mm."""
Angle = Annotated[
    float,
    BeforeValidator(_angle),
    _schema(
        "angle; degrees unless a unit is given", r"^\s*[+-]?[0-9.]+\s*(deg|degrees|°|rad)?\s*$"
    ),
]
"""An angle, in radians; a bare number is in degrees."""
Seconds = Annotated[
    float,
    BeforeValidator(_seconds),
    _schema("time; seconds unless a unit is given", r"^\s*[0-9.]+\s*(s|ms|min)?\s*$"),
]
"""A time of 0 or more, in seconds."""
