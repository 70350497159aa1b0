"""``NAME.run.json``: beside a machine file, what its sender must know of the bytes.

A table of strokes, a row each, and their geometry as little-endian float64 in base64: exact, and
a third of the size that decimals would need. The resolved profile is in it, angles in radians, so
that what is left of a job can be written again from this file alone.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from pydantic import Field, ValidationError

from cutpath.errors import InputError, Source
from cutpath.geometry.chain import Chain, make_chain
from cutpath.geometry.points import Floats, as_point
from cutpath.model import Feature, Pause, Role, Toolpath, Trial
from cutpath.run_model import Run, RunStroke
from cutpath.settings.profile_schema import Profile
from cutpath.settings.quantities import IN_RADIANS
from cutpath.settings.run_text import NO_PIECE, VERSION, run_text, signed
from cutpath.settings.toml_file import Settings, read_text

__all__ = ["SUFFIX", "read_run", "run_file_name", "run_from", "run_text", "signed"]

SUFFIX = ".run.json"
_REMEDY = "Cut the job again: cutpath cut writes both files anew."


class _More(Settings):
    """What few strokes have: a pause before (x, y, seconds), cloth moved on, another setting."""

    pause: tuple[float, float, float] | None = None
    advance: float = 0.0
    trial: tuple[str, float | None, int | None, float | None, float | None] | None = None


class _Row(NamedTuple):
    """One stroke, as it stands in the file."""

    role: Role
    feature: Feature
    piece: int
    tool: str
    points: int
    closed: int
    arcs: int
    last: int
    seconds: float
    more: _More | None


class _RunFile(Settings):
    check: str
    about: str
    version: int
    file: str
    sha256: str
    size: int
    job: str
    machine: str
    profile_digest: str
    cloth: str
    note: str
    seconds: float = Field(ge=0)
    pieces: tuple[str, ...]
    preamble: int
    strokes: tuple[_Row, ...]
    points: str
    bulges: str
    profile: dict[str, Any]


def run_file_name(machine_file: str) -> str:
    """Give the name of the run file that belongs to a machine file: NAME.run.json."""
    return f"{Path(machine_file).stem}{SUFFIX}"


def read_run(path: Path) -> Run:
    """Read a machine file with its run file; ``path`` is either of both.

    Raises InputError where one of them is missing, damaged, or not of the other.
    """
    beside = path if path.name.endswith(SUFFIX) else path.with_name(run_file_name(path.name))
    if beside is not path and not beside.is_file():
        if not path.is_file():
            raise InputError(
                "there is no such file", Source(file=str(path)), "Check the name and the folder."
            )
        raise InputError(
            f"beside it there is no {beside.name}, which tells what its bytes do",
            Source(file=str(path)),
            "Send a file that cutpath cut wrote, where it wrote it.",
        )
    text = read_text(beside)
    said = _said(text, beside.name)
    data = _bytes_of(beside.with_name(Path(said.file).name))
    return _joined(said, data, beside.name)


def run_from(text: str, data: bytes, name: str) -> Run:
    """Give the run of a run file's ``text`` and its machine file's bytes; ``name`` is for errors.

    Raises InputError where they are damaged or not of each other.
    """
    return _joined(_said(text, name), data, name)


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise InputError(
            f"the machine file cannot be read: {reason}", Source(file=str(path)), _REMEDY
        ) from error


def _said(text: str, name: str) -> _RunFile:
    try:
        data = json.loads(text)
        if isinstance(data, dict) and data.get("version", 0) > VERSION:
            raise InputError(
                "a later cutpath wrote this run file",
                Source(file=name, key="version"),
                "Send with that cutpath, or cut the job again with this one.",
            )
        said = _RunFile.model_validate(data)
    except (ValueError, RecursionError, TypeError) as error:
        if isinstance(error, InputError):
            raise
        raise _damaged(name, _where(error)) from error
    body = text.partition("\n")[2].encode("utf-8")
    if said.check != hashlib.sha256(body).hexdigest():
        raise _damaged(name, "check")
    return said


def _where(error: Exception) -> str:
    if isinstance(error, ValidationError):
        return ".".join(str(word) for word in error.errors()[0]["loc"][:2]) or "top"
    return f"line {error.lineno}" if isinstance(error, json.JSONDecodeError) else "text"


def _damaged(name: str, where: str) -> InputError:
    return InputError(f"this run file is damaged ({where})", Source(file=name), _REMEDY)


def _joined(said: _RunFile, data: bytes, name: str) -> Run:
    if hashlib.sha256(data).hexdigest() != said.sha256:
        raise InputError(
            f"{said.file} is not the machine file that this run file was written for",
            Source(file=name, key="sha256"),
            "It was changed or written by another run. " + _REMEDY,
        )
    try:
        profile = Profile.model_validate(said.profile, context=IN_RADIANS)
    except ValidationError as error:
        raise _damaged(name, "profile") from error
    try:
        strokes = tuple(_strokes(said))
    except (ValueError, IndexError, binascii.Error) as error:
        raise _damaged(name, "strokes") from error
    return Run(
        name=said.file,
        job=said.job,
        machine=said.machine,
        profile=profile,
        cloth=said.cloth,
        note=said.note,
        pieces=said.pieces,
        strokes=strokes,
        seconds=said.seconds,
        data=data,
    )


def _strokes(said: _RunFile) -> Iterator[RunStroke]:
    """Give the strokes. Raises ValueError or IndexError where the parts do not agree."""
    points, bulges = _numbers(said.points).reshape(-1, 2), _numbers(said.bulges)
    at = bend = 0
    first = said.preamble
    for row in said.strokes:
        if (
            not first < row.last <= said.size
            or not math.isfinite(row.seconds)
            or row.piece < NO_PIECE
        ):
            raise ValueError("bytes of strokes follow each other")
        count = row.points if row.closed else row.points - 1
        curved = bulges[bend : bend + count] if row.arcs else None
        chain = _chain(points[at : at + row.points], curved, row)
        more = row.more or _More()
        pause = None if more.pause is None else Pause(as_point(more.pause[:2]), more.pause[2])
        trial = Trial() if more.trial is None else Trial(*more.trial)
        piece = "" if row.piece == NO_PIECE else said.pieces[row.piece]
        path = Toolpath(row.role, row.feature, piece, chain, pause, trial, more.advance)
        yield RunStroke(path, row.tool, first, row.last, row.seconds)
        at, bend, first = at + row.points, bend + (count if row.arcs else 0), row.last
    if at != len(points) or bend != len(bulges) or not 0 <= said.preamble <= said.size:
        raise ValueError("there is as much geometry as the strokes need")


def _chain(points: Floats, bulges: Floats | None, row: _Row) -> Chain:
    if len(points) != row.points:
        raise ValueError("points are missing")
    return make_chain(points, bulges, closed=bool(row.closed))


def _numbers(packed: str) -> Floats:
    return np.frombuffer(base64.b64decode(packed, validate=True), dtype="<f8").astype(np.float64)
