"""Files written whole or not at all, a set of them together."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from cutpath.errors import InputError, Source


def deliver(folder: Path, files: Mapping[str, bytes], stale: Iterable[str] = ()) -> None:
    """Write ``files`` (name → bytes) into ``folder``, and take away the ``stale`` names.

    All are first written beside their places under temporary names and only then renamed, so that
    a full disk or an interruption leaves the old files as they were. Raises InputError when the
    folder cannot be made or written.
    """
    waiting: list[tuple[Path, Path]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            waiting.append((_written_aside(folder, data), folder / name))
        for name in stale:
            (folder / name).unlink(missing_ok=True)
        while waiting:
            aside, place = waiting[0]
            aside.replace(place)
            waiting.pop(0)
    except OSError as error:
        raise InputError(
            f"cannot write here: {error.strerror or error}",
            Source(file=str(folder)),
            "Choose another folder with --out, or free room on the disk.",
        ) from error
    finally:
        for aside, _ in waiting:
            aside.unlink(missing_ok=True)


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
