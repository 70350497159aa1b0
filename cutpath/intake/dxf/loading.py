"""A DXF file to an ezdxf document, whatever state the file is in."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf import recover
from ezdxf.document import Drawing as Document

from cutpath.errors import InputError, Source
from cutpath.intake.dxf.raw_file import (
    require_decimal_points,
    require_dxf,
    require_whole,
    says_unit,
)
from cutpath.model import Finding

logging.getLogger("ezdxf").propagate = False
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """A document, whether the file itself names its unit, and what was mended in it."""

    document: Document
    says_unit: bool
    findings: tuple[Finding, ...]


def load(path: Path) -> Loaded:
    """Load the drawing at ``path``, repaired where it must be, and tell so.

    Raises InputError for a file that cannot be read as DXF at all.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise InputError(f"it cannot be opened ({why})", remedy="Check name and folder.") from error
    require_dxf(data)
    require_whole(data)
    try:
        loaded = Loaded(ezdxf.readfile(path), says_unit(data), ())
    except Exception as error:
        require_decimal_points(data)
        document, finding = _recovered(path, error)
        loaded = Loaded(document, says_unit(data), (finding,))
    _require_model_space(loaded.document)
    return loaded


def _require_model_space(document: Document) -> None:
    try:
        document.modelspace()
    except KeyError as error:
        raise InputError(
            "the drawing has no model space, where panels are drawn",
            remedy="The file is damaged: export it again as DXF, R12 to R2018.",
        ) from error


def _recovered(path: Path, first: Exception) -> tuple[Document, Finding]:
    source = Source(file=path.name)
    why = str(first).rstrip(".") or type(first).__name__
    try:
        document, auditor = recover.readfile(path)
    except Exception as error:
        raise InputError(
            f"this is not a DXF drawing that can be read ({why})",
            source,
            "Export it again as DXF, R12 to R2018.",
        ) from error
    repairs = len(auditor.errors) + len(auditor.fixes)
    mended = f"{repairs} {'repair' if repairs == 1 else 'repairs'}" if repairs else "nothing lost"
    told = Finding(
        f"the file is damaged or of an old kind ({why}) and was read all the same: {mended}",
        source,
        "Look at the picture before you cut, or export the drawing again as R12 to R2018.",
    )
    return document, told
