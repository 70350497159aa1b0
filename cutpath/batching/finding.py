"""The jobs below a folder, in order, each with a folder name of its own."""

from __future__ import annotations

import hashlib
import os
import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from cutpath.delivery import file_names
from cutpath.errors import InputError, Source

_DRAWINGS = {".dxf", ".svg"}
_NAMES_A_DRAWING = re.compile(r"^\s*drawing\s*=", re.MULTILINE)
_OURS = {"proof.json", "batch.json", "batch-job.json", "seams.json"}
"""Where one of these lies is what cutpath made, not what it is made from."""


@dataclass(frozen=True, slots=True)
class FoundJob:
    """A job file or a bare drawing: ``name`` is its path below the folder, with slashes.

    ``folder`` is the name of the folder for its files, no other job's.
    """

    source: Path
    name: str
    folder: str


@dataclass(frozen=True, slots=True)
class FoundJobs:
    """The jobs, and the names of drawings that no job speaks of and that were left out."""

    jobs: tuple[FoundJob, ...]
    left: tuple[str, ...]


def find_jobs(folder: Path, out: Path, *, with_drawings: bool) -> FoundJobs:
    """Look through ``folder`` for job files, and for bare drawings where they are wanted too.

    A job file is a ``job.toml`` or any other TOML file that names a drawing. Hidden folders,
    ``out`` and folders of earlier results are passed by, links to folders are not followed. Raises
    InputError for a folder that is none.
    """
    if not folder.is_dir():
        raise InputError(
            "there is no such folder" if not folder.exists() else "this is a file, not a folder",
            Source(file=str(folder)),
            "Name the folder that holds the jobs; for a single one use: cutpath cut.",
        )
    if folder.resolve() == out.resolve():
        raise InputError(
            "this is the folder of the jobs itself",
            Source(file=str(out)),
            "Choose another folder with --out.",
        )
    jobs: list[Path] = []
    drawings: list[Path] = []
    for path in _files(folder, out.resolve()):
        if path.suffix.lower() == ".toml" and _is_job(path):
            jobs.append(path)
        elif path.suffix.lower() in _DRAWINGS:
            drawings.append(path)
    spoken_of = {drawing.resolve() for path in jobs if (drawing := drawing_of(path))}
    bare = [path for path in drawings if path.resolve() not in spoken_of]
    sources = sorted(
        [*jobs, *(bare if with_drawings else ())],
        key=lambda path: path.relative_to(folder).parts,
    )
    names = [path.relative_to(folder).as_posix() for path in sources]
    left = () if with_drawings else tuple(path.relative_to(folder).as_posix() for path in bare)
    folders = _folders(names, folder.resolve().name)
    found = zip(sources, names, folders, strict=True)
    return FoundJobs(tuple(FoundJob(*each) for each in found), left)


def drawing_of(job: Path) -> Path | None:
    """Give the drawing that a job file names; None where it names none that we can read."""
    try:
        said = tomllib.loads(job.read_text(encoding="utf-8-sig")).get("drawing")
    except (OSError, ValueError, RecursionError):
        return None
    return job.parent / said if isinstance(said, str) else None


def _files(folder: Path, out: Path) -> Iterator[Path]:
    for here, folders, names in os.walk(folder):
        place = Path(here)
        if place.resolve() == out or (place != folder and not _OURS.isdisjoint(names)):
            folders.clear()
            continue
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        yield from (place / name for name in sorted(names) if not name.startswith("."))


def _is_job(path: Path) -> bool:
    """Tell a job from other TOML, though it may not be valid: its mistakes shall be told."""
    if path.name == "job.toml":
        return True
    try:
        text = path.read_bytes().decode("utf-8", errors="replace")
    except OSError:
        return False
    return _NAMES_A_DRAWING.search(text) is not None


def _folders(names: list[str], whole: str) -> list[str]:
    """Give each job's folder: from its path; names that would be the same get a mark each."""
    plain = [_plain(name, whole) for name in names]
    counts = Counter(plain)
    return [
        f"{short}-{hashlib.sha256(name.encode()).hexdigest()[:8]}" if counts[short] > 1 else short
        for short, name in zip(plain, names, strict=True)
    ]


def _plain(name: str, whole: str) -> str:
    path = Path(name)
    parts = [*path.parent.parts, *(() if path.name == "job.toml" else (path.stem,))]
    return file_names(" ".join(parts) or whole, [("", 1)])[0]
