"""TOML files read against a schema; every mistake with its line, key and the nearest right word."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from cutpath.errors import InputError, Source
from cutpath.settings.nearest_word import nearest_word
from cutpath.settings.toml_lines import KeyPath, line_of

__all__ = [
    "Settings",
    "checked",
    "dotted",
    "line_of",
    "load_toml",
    "nearest_word",
    "parsed",
    "read_text",
]

M = TypeVar("M", bound=BaseModel)

_MOST_TOLD = 20
_PLAIN = {
    "Input should be": "must be",
    "a valid tuple": "a list [ … ]",
    "a valid integer": "a whole number",
    "a valid number": "a number",
    "a valid string": 'text in quotes "…"',
    "a valid boolean": "true or false",
    "greater than or equal to": "at least",
    "less than or equal to": "at most",
}
_QUOTED = re.compile(r"'([^']*)'")
_NOT_READ = re.compile(r", unable to (parse|interpret) .*$")


class Settings(BaseModel):
    """Base of all settings: frozen, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


def load_toml(path: Path, model: type[M]) -> M:
    """Read and check the TOML file at ``path``.

    Raises InputError for a file that cannot be read, bad TOML and every broken rule of ``model``,
    with file, line, key and what would be right.
    """
    text = read_text(path)
    return checked(parsed(text, path.name), text, path.name, model)


def read_text(path: Path) -> str:
    """Read a UTF-8 text file. Raises InputError when it is not there or not UTF-8."""
    try:
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise InputError(
            "there is no such file", Source(file=str(path)), "Check the name and the folder."
        ) from error
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise InputError(f"the file cannot be read: {reason}", Source(file=str(path))) from error
    except UnicodeDecodeError as error:
        raise InputError(
            f"the file is not UTF-8 text (byte {error.start})",
            Source(file=path.name),
            "Save it as UTF-8.",
        ) from error


def parsed(text: str, file: str) -> dict[str, Any]:
    """Parse TOML. Raises InputError with the line of a syntax error."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        match = re.search(r"\(at line (\d+), column \d+\)", str(error))
        line = int(match[1]) if match else max(1, len(text.splitlines()))
        words = re.sub(r"\s*\(at .*\)$", "", str(error))
        raise InputError(
            f"this is not valid TOML: {words[:1].lower()}{words[1:]}",
            Source(file=file, line=line),
            'Write key = value; put text and lengths with units in quotes: width = "25.4 mm".',
        ) from error
    except RecursionError as error:
        raise InputError("tables are nested too deeply", Source(file=file)) from error


def checked(
    data: dict[str, Any],
    text: str,
    file: str,
    model: type[M],
    line_at: Callable[[str, KeyPath], int | None] = line_of,
) -> M:
    """Check parsed TOML against ``model``; ``text`` tells the lines, by ``line_at``.

    Raises InputError that tells the first mistake in the file and lists the others.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        mistakes = [
            _mistake(detail, data, file, model, lambda path: line_at(text, path))
            for detail in error.errors()
        ]
    mistakes.sort(key=lambda mistake: mistake.source.line or 0)
    raise _as_one(mistakes)


def _as_one(mistakes: list[InputError]) -> InputError:
    first, others = mistakes[0], mistakes[1:]
    if not others:
        return first
    count = "1 more mistake" if len(others) == 1 else f"{len(others)} more mistakes"
    told = [f"  {other.source}: {other.message}" for other in others[:_MOST_TOLD]]
    remedy = "\n".join([first.remedy, f"And {count}:", *told]).strip()
    return InputError(first.message, first.source, remedy)


def _mistake(
    detail: ErrorDetails,
    data: dict[str, Any],
    file: str,
    model: type[BaseModel],
    line_at: Callable[[KeyPath], int | None],
) -> InputError:
    path = _path_in_file(detail["loc"], data)
    message, remedy = _in_words(detail, path, model)
    place = Source(file=file, line=line_at(path), key=dotted(path))
    return InputError(message, place, remedy)


def _in_words(detail: ErrorDetails, path: KeyPath, model: type[BaseModel]) -> tuple[str, str]:
    kind, given, context = detail["type"], detail["input"], detail.get("ctx", {})
    last = str(path[-1]) if path else ""
    if kind == "extra_forbidden":
        return f"unknown key '{last}'", nearest_word(last, _keys_at(model, path[:-1]))
    if kind == "missing":
        return f"the key '{last}' is missing", f"Add a line {last} = …"
    if kind in {"enum", "literal_error"}:
        expected = str(context.get("expected", ""))
        known = _QUOTED.findall(expected) or re.split(r", | or ", expected)
        return f"'{given}' is not known here", nearest_word(str(given), known)
    if kind in {"model_type", "dict_type", "model_attributes_type"}:
        return "must be a table", f"Write it like {last} = {{ … }} or [{dotted(path)}]."
    if kind == "value_error":
        message, _, remedy = detail["msg"].removeprefix("Value error, ").partition(". ")
        return message, remedy
    is_quoted = kind in {"float_parsing", "int_parsing", "float_type", "int_type"}
    remedy = "Write it without quotes and unit." if is_quoted and isinstance(given, str) else ""
    return f"{_plain(detail['msg'])}, not {_shown(given)}", remedy


def _plain(message: str) -> str:
    """Give pydantic's message in words that a maker knows."""
    message = _NOT_READ.sub("", message)
    for theirs, ours in _PLAIN.items():
        message = message.replace(theirs, ours)
    return message


def _shown(value: object) -> str:
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    if isinstance(value, float):
        return f"{value:.10g}"  # inches come as 304.79999999999995 mm
    return f"'{value}'" if isinstance(value, str) else str(value).lower()


def _path_in_file(location: tuple[str | int, ...], values: object) -> KeyPath:
    """Leave out of pydantic's location what is not in the file: the names of union members."""
    path: KeyPath = ()
    for number, word in enumerate(location):
        is_last = number == len(location) - 1
        if isinstance(values, dict) and word in values:
            values = values[word]
        elif isinstance(values, list) and isinstance(word, int):
            values = values[word] if word < len(values) else None
        elif not is_last or not isinstance(values, dict) or word == "[key]":
            continue
        path += (word,)
    return path


def _keys_at(model: type[BaseModel], path: KeyPath) -> list[str]:
    """Give the keys that the table at ``path`` may have."""
    at: object = model
    for word in path:
        at = _member_type(at, word)
    table = _model_in(at)
    return list(_fields(table)) if table else []


def _fields(table: type[BaseModel]) -> dict[str, object]:
    return {field.alias or name: field.annotation for name, field in table.model_fields.items()}


def _member_type(annotation: object, word: str | int) -> object:
    """Give the annotation of member ``word`` of a model, mapping or list; None when unknown."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return _fields(annotation).get(str(word))
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin in {dict, Mapping}:
        return parts[1]
    if origin is Annotated:
        return _member_type(parts[0], word)
    if origin in {list, tuple, Sequence}:
        return parts[0]
    found = (_member_type(part, word) for part in parts)
    return next((member for member in found if member is not None), None)


def _model_in(annotation: object) -> type[BaseModel] | None:
    """Give the first model class named anywhere inside a type annotation."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_model_in(part) for part in get_args(annotation))
    return next((table for table in found if table is not None), None)


def dotted(path: KeyPath) -> str:
    """Give ``path`` as it is written in TOML; members of a list count from 1 in brackets."""
    out = ""
    for word in path:
        if isinstance(word, int):
            out += f"[{word + 1}]"
        else:
            plain = re.fullmatch(r"[A-Za-z0-9_-]+", word)
            out += ("." if out else "") + (word if plain else f'"{word}"')
    return out
