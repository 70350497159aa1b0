"""A drawing file to a Drawing, whichever of the two kinds it is."""

from __future__ import annotations

from pathlib import Path

from cutpath.errors import InputError, Source, reading
from cutpath.intake.dxf import read_dxf
from cutpath.intake.size_check import question_size
from cutpath.intake.svg import read_svg
from cutpath.model import Drawing, Finding


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
    try:
        head = path.read_bytes()[:4096]
    except FileNotFoundError as error:
        raise InputError("there is no such drawing", remedy="Check the name and folder.") from error
    except IsADirectoryError as error:
        raise InputError("this is a folder, not a drawing", Source(file=str(path))) from error
    if not head.strip():
        raise InputError("the file is empty", remedy="Export the drawing again.")
    text = head.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return text.startswith((b"<?xml", b"<svg", b"<!doctype", b"<!--")) or b"<svg" in text
