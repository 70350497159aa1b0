"""What the program is, exactly: two that give the same mark give the same bytes."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib import metadata, resources
from pathlib import Path

from cutpath import __version__

_LIBRARIES = (
    "ezdxf", "Hershey-Fonts", "jinja2", "networkx", "numpy", "pyclipper", "pydantic", "reportlab",
    "shapely", "svgwrite",
)  # fmt: skip
"""The libraries that what is written depends on."""


@cache
def program_mark() -> str:
    """Give the version, the digest of our own files and the versions of the libraries, in a line.

    The digest tells two programs of one version apart: an edited checkout, say.
    """
    root = Path(str(resources.files("cutpath")))
    digest = hashlib.sha256()
    for path in sorted(root.rglob("*")):
        if path.is_file() and path.suffix not in {".pyc", ".pyo"} and "_profiles" not in path.parts:
            digest.update(path.relative_to(root).as_posix().encode() + b"\0")
            digest.update(hashlib.sha256(path.read_bytes()).digest())
    libraries = ", ".join(f"{name} {_version(name)}" for name in _LIBRARIES)
    return f"cutpath {__version__} ({digest.hexdigest()[:12]}), {libraries}"


def differences(here: str, there: str) -> str:
    """Give in words how the mark of another program differs from ours; empty if it does not."""
    ours, theirs = here.split(", "), there.split(", ")
    told = [f"{b} there, {a} here" for a, b in zip(ours, theirs, strict=False) if a != b]
    return "; ".join(told) or ("" if here == there else f"{there} there, {here} here")


def _version(library: str) -> str:
    try:
        return metadata.version(library)
    except metadata.PackageNotFoundError:
        return "unknown"
