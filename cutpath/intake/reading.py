"""A drawing file to a Drawing, whichever of the two kinds it is."""

from __future__ import annotations

from pathlib import Path

from cutpath.errors import InputError, Source, reading
from cutpath.intake.dxf import read_dxf
from cutpath.intake.size_check import question_size
from cutpath.intake.svg import read_svg
from cutpath.model import Drawing, Finding

_HEAD = 4096
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


def read_drawing(path: Path, units: str | None = None) -> tuple[Drawing, tuple[Finding, ...]]:
    """Read the DXF or SVG file at ``path``, told by its content, into mm.

    ``units`` says what one drawing unit is and wins over the file. Raises InputError with file,
    layer, entity and place for whatever cannot be used.
    """
    with reading(path.name):
        if _is_svg(path):
            drawing, findings = read_svg(path, units)
        else:
            drawing, findings = read_dxf(path, units)
    return drawing, (*findings, *question_size(drawing))


def _is_svg(path: Path) -> bool:
    head = _head(path)
    if not head.strip():
        raise InputError("the file is empty", remedy="Export the drawing again.")
    if head.startswith(_UTF16):
        head = head.decode("utf-16", errors="ignore").encode()
    text = head.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return text.startswith((b"<?xml", b"<svg", b"<!doctype", b"<!--")) or b"<svg" in text


def _head(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(_HEAD)
    except FileNotFoundError as error:
        raise InputError("there is no such drawing", remedy="Check the name and folder.") from error
    except IsADirectoryError as error:
        raise InputError("this is a folder, not a drawing", Source(file=str(path))) from error
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise InputError(f"it cannot be opened ({why})", remedy="Check who may read it.") from error
