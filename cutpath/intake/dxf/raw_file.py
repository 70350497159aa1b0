"""What must be known of a DXF file's bytes because reading them through a library hides it."""

from __future__ import annotations

import re

from cutpath.errors import InputError, Source

_COORDINATES = {*range(10, 60), *range(140, 148), *range(210, 240)}
"""Group codes of real numbers that make shapes (DXF reference, group code value types)."""
_COMMA = re.compile(rb"\s*[+-]?\d+,\d+\s*")
_BINARY = b"AutoCAD Binary DXF\r\n\x1a\x00"
_DWG = re.compile(rb"AC10\d\d")


def require_dxf(data: bytes) -> None:
    """Raise InputError for bytes that are plainly something else."""
    if not data.strip():
        raise InputError("the file is empty", remedy="Export the drawing again.")
    if _DWG.match(data):
        raise InputError("this is a DWG drawing", remedy="Save it as DXF, R12 to R2018.")
    if b"SECTION" not in data:
        raise InputError(
            "this is neither a DXF nor an SVG drawing",
            remedy="Export the panels as DXF, R12 to R2018, or as SVG.",
        )


def says_unit(data: bytes) -> bool:
    """Tell whether $INSUNITS is really in the file; ezdxf makes one up where it is not."""
    at = data.find(b"$INSUNITS")
    return 0 <= at < (data.find(b"ENDSEC") if b"ENDSEC" in data else len(data))


def require_whole(data: bytes) -> None:
    """Raise InputError for a file that breaks off, such as half a download.

    Some programs leave the last EOF out; a file that ends with a section's end is taken for whole.
    """
    tail = data[-64:].rstrip(b"\x00\x1a \t\r\n")
    if not tail.endswith((b"EOF", b"ENDSEC")):
        raise InputError(
            "the file breaks off in the middle: what follows is lost",
            remedy="Copy or export the drawing again.",
        )


def require_decimal_points(data: bytes) -> None:
    """Raise InputError for a coordinate with a decimal comma: repairing would take 2,5 for 2."""
    if data.startswith(_BINARY):
        return
    lines = data.splitlines()
    for index in range(0, len(lines) - 1, 2):
        if not lines[index].strip().isdigit():
            continue
        if int(lines[index]) in _COORDINATES and _COMMA.fullmatch(lines[index + 1]):
            number = lines[index + 1].strip().decode("ascii")
            raise InputError(
                f"'{number}' is written with a decimal comma",
                Source(line=index + 2),
                "Export the drawing again with decimal points (a setting of language or region).",
            )
