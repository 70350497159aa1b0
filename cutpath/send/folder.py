"""The way through a folder that the machine watches: the whole file appears at once, or never."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import BinaryIO

from cutpath.errors import Source
from cutpath.send.channel import LinkError

_MOST_COPIES = 10_000


class FolderChannel:
    """Writes aside, under a name no machine takes, and renames when all is there.

    A file of the same name that still waits there is not written over: this one is numbered.
    """

    is_whole = True
    unseen = 0

    def __init__(self, folder: Path, name: str) -> None:
        self.folder = folder
        self.name = name
        self.delivered: Path | None = None
        if not folder.is_dir():
            raise LinkError(
                "the folder that the machine watches is not there",
                Source(file=str(folder)),
                "Is the share mounted? Otherwise mend folder in the profile's [link].",
            )
        self._aside: Path | None = None
        self._file: BinaryIO | None = None

    def write(self, data: bytes | memoryview, timeout: float) -> int:
        """Take all."""
        try:
            if self._file is None:
                handle, path = tempfile.mkstemp(prefix=".cutpath-", suffix=".part", dir=self.folder)
                self._aside, self._file = Path(path), os.fdopen(handle, "wb")
            return self._file.write(data)
        except OSError as error:
            raise self._broken(error) from error

    def read(self, timeout: float) -> bytes:
        """Give nothing."""
        return b""

    def pending(self) -> int:
        """Give 0: a file's bytes need no patience."""
        return 0

    def finish(self, timeout: float) -> bool:
        """Let the file appear."""
        if self._file is None or self._aside is None:
            return self.delivered is not None
        try:
            self._file.flush()
            os.fsync(self._file.fileno())
            self._file.close()
            self._aside.chmod(0o644)
            place = self._free_place()
            self._aside.rename(place)
        except OSError as error:
            self.close()
            raise self._broken(error) from error
        self._file, self.delivered = None, place
        return True

    def close(self) -> None:
        """Leave no debris: what did not appear is taken away."""
        if self._file is not None and self._aside is not None:
            self._file.close()
            self._file = None
            self._aside.unlink(missing_ok=True)

    def _free_place(self) -> Path:
        first = self.folder / self.name
        if not first.exists():
            return first
        for number in range(2, _MOST_COPIES):
            place = first.with_name(f"{first.stem}-{number}{first.suffix}")
            if not place.exists():
                return place
        raise OSError(None, "too many files of this name wait there")

    def _broken(self, error: OSError) -> LinkError:
        return LinkError(
            f"cannot write into the machine's folder: {error.strerror or error}",
            Source(file=str(self.folder)),
            "Nothing appeared there. Look at the share, its permissions and its room.",
        )
