"""One program at a time on a network link: who sends directly and who works off a queue alike.

A serial port is opened exclusively; a socket is not, and many device servers let two talk at once.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

from filelock import FileLock, Timeout

from cutpath.errors import Source
from cutpath.send.channel import LinkError


def taken_alone(place: str) -> FileLock:
    """Give a held lock for the link to ``place``, "host:port"; the system frees it when we die.

    It holds among the programs of one user of this computer. Raises LinkError where another holds
    it.
    """
    name = hashlib.sha256(f"{_user()} {place}".encode()).hexdigest()[:16]
    lock = FileLock(Path(tempfile.gettempdir()) / f"cutpath-link-{name}.lock")
    try:
        lock.acquire(blocking=False)
    except Timeout as error:
        raise LinkError(
            "another program is sending to this machine",
            Source(file=place),
            "Nothing was sent. Let that one end, or stop it: cutpath queue list tells of senders.",
        ) from error
    return lock


def _user() -> str:
    return str(os.getuid()) if hasattr(os, "getuid") else os.environ.get("USERNAME", "")
