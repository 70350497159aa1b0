"""Files written whole or not at all, a set of them together."""

from __future__ import annotations

import json
import os
import re
import tempfile
import unicodedata
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence, Set
from pathlib import Path

from cutpath.errors import InputError, Source

PROOF = "proof.json"
"""The proof of the machine files in a folder."""
_LONGEST_WORD = 60
"""Bytes of each part of a file name: three parts and an ending stay below the 255 of most disks."""
_OURS = re.compile(r"[\w-]+(\.run)?\.\w+")
"""What ``file_names`` gives, with an ending."""
_RESERVED = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"{port}{n}" for port in ("com", "lpt") for n in "123456789"),
}
"""Names that Windows keeps for devices, whatever the ending."""


def slug(text: str) -> str:
    """Give ``text`` as part of a file name any system takes: letters, digits and hyphens."""
    plain = unicodedata.normalize("NFC", text.lower())
    kept = "".join(letter if letter.isalnum() else " " for letter in plain)
    short = "-".join(kept.split()).encode()[:_LONGEST_WORD].decode(errors="ignore")
    return short.strip("-") or "job"


def file_names(job: str, loads: Sequence[tuple[str, int]]) -> list[str]:
    """Give the names, without ending, of the files for loads (cloth, number) of a job.

    Cloth and number are left out where there is only one; all names differ.
    """
    cloths = Counter(cloth for cloth, _ in loads)
    names: list[str] = []
    for cloth, number in loads:
        parts = [slug(job)]
        if len(cloths) > 1:
            parts.append(slug(cloth))
        if cloths[cloth] > 1:
            parts.append(str(number))
        names.append(_apart("-".join(parts), names))
    return names


def _apart(name: str, taken: Sequence[str]) -> str:
    if name in _RESERVED:
        name += "-cut"
    out, count = name, 1
    while out in taken:
        count += 1
        out = f"{name}-again-{count}"
    return out


def picture_name(letter: str, taken: Collection[str], kind: str = "seam") -> str:
    """Give the file name of a picture: seam-A.svg, or of another ``kind``, fair-top-aft.svg.

    No disk takes it for one of those ``taken``, though it may not tell capitals from small letters.
    """
    plain = letter if re.fullmatch(r"[A-Z0-9]{1,20}", letter) else slug(letter)
    used = [name.lower() for name in taken]
    name, count = f"{kind}-{plain}", 1
    while f"{name}.svg".lower() in used:
        count += 1
        name = f"{kind}-{plain}-again-{count}"
    return f"{name}.svg"


def earlier_files(folder: Path, job: str) -> list[str]:
    """Give the files that an earlier run of ``job`` left in ``folder``, by its proof.json."""
    try:
        proof = json.loads((folder / PROOF).read_text(encoding="utf-8"))
        if proof["job"] != job:
            return []
        names = [file[kind] for file in proof["files"] for kind in ("file", "picture")]
        names += [
            file[kind]
            for file in proof["files"]
            for kind in ("tip_picture", "run")
            if file.get(kind)
        ]
        names += [lay["picture"] for lay in proof.get("lays", ())]
        names += ["lay.json"] if proof.get("lays") else []
        return [name for name in names if _OURS.fullmatch(name)]
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return []  # nothing of ours


def earlier_pictures(folder: Path, job: str) -> list[str]:
    """Give the pictures that an earlier check of ``job`` left in ``folder``, by its seams.json."""
    try:
        found = json.loads((folder / "seams.json").read_text(encoding="utf-8"))
        if found["job"] != job:
            return []
        return [name for name in found["pictures"] if _OURS.fullmatch(name)]
    except (OSError, ValueError, KeyError, TypeError):
        return []  # nothing of ours


def deliver(
    folder: Path,
    files: Mapping[str, bytes],
    stale: Iterable[str] = (),
    sources: Iterable[Path] = (),
    option: str = "--out",
) -> None:
    """Write ``files`` (name → bytes) into ``folder``, and take away the ``stale`` names.

    ``sources`` are what the files were made from: they are neither written over nor taken away.
    ``option`` is what the user names the folder with.

    All are first written beside their places under temporary names and only then renamed, so that
    a full disk or an interruption leaves the old files as they were. Raises InputError when the
    folder cannot be made or written, or when a file would take the place of a source.
    """
    waiting: list[tuple[Path, Path]] = []
    kept = {path.resolve() for path in sources}
    _require_room(folder, files, kept, option)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            waiting.append((_written_aside(folder, data), folder / name))
        for name in set(stale) - set(files):
            if (folder / name).resolve() not in kept:
                (folder / name).unlink(missing_ok=True)
        while waiting:
            aside, place = waiting[0]
            aside.replace(place)
            waiting.pop(0)
    except OSError as error:
        raise InputError(
            f"cannot write here: {error.strerror or error}",
            Source(file=str(folder)),
            f"Choose another folder with {option}, or free room on the disk.",
        ) from error
    finally:
        for aside, _ in waiting:
            aside.unlink(missing_ok=True)


def _require_room(folder: Path, names: Iterable[str], kept: Set[Path], option: str) -> None:
    """Refuse what is in the way before anything is written."""
    if folder.exists() and not folder.is_dir():
        raise InputError(
            "this is a file, not a folder",
            Source(file=str(folder)),
            f"Name a folder with {option}; it is made where there is none.",
        )
    for name in names:
        place = folder / name
        if place.resolve() in kept:
            raise InputError(
                "this would be written over, and it is what the job is made from",
                Source(file=str(place)),
                f"Choose another folder with {option}.",
            )
        if place.is_dir():
            raise InputError(
                "a folder is where a file must go",
                Source(file=str(place)),
                f"Choose another folder with {option}.",
            )


def _written_aside(folder: Path, data: bytes) -> Path:
    handle, name = tempfile.mkstemp(prefix=".cutpath-", dir=folder)
    path = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        path.chmod(0o644)
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return path
