"""A DXF file to an ezdxf document, whatever state the file is in."""

from __future__ import annotations

import logging
from pathlib import Path

import ezdxf
from ezdxf import recover
from ezdxf.document import Drawing as Document
from ezdxf.lldxf.const import DXFError

from cutpath.errors import InputError, Source
from cutpath.model import Finding

_BROKEN = (DXFError, ValueError, KeyError, IndexError, TypeError, AttributeError, ZeroDivisionError,
           RecursionError, UnicodeError, EOFError)  # fmt: skip
"""What ezdxf raises on damaged files: it documents DXFError, and the others were seen."""


logging.getLogger("ezdxf").propagate = False
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


def load(path: Path) -> tuple[Document, tuple[Finding, ...]]:
    """Load the drawing at ``path``, repaired where it must be, and tell so.

    Raises InputError for a file that cannot be read as DXF at all.
    """
    if not path.is_file():
        raise InputError("there is no such drawing", Source(file=str(path)), "Check the name.")
    try:
        return ezdxf.readfile(path), ()
    except _BROKEN as first:
        return _recovered(path, first)


def _recovered(path: Path, first: Exception) -> tuple[Document, tuple[Finding, ...]]:
    source = Source(file=path.name)
    try:
        document, auditor = recover.readfile(path)
    except _BROKEN as error:
        words = str(first) or type(error).__name__
        raise InputError(
            f"this is not a DXF drawing that can be read ({words})",
            source,
            "Export it again as DXF R2000 to R2018, or R12.",
        ) from error
    repairs = len(auditor.errors) + len(auditor.fixes)
    told = Finding(
        f"the file is damaged or unusual and was repaired while reading ({repairs} repairs)",
        source,
        "Look at the picture before you cut.",
    )
    return document, (told,)
