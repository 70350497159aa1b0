"""DXF drawings made for a test."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np

from cutpath.geometry.measure import bounds
from cutpath.intake.dxf import read_dxf
from cutpath.model import Curve, Drawing, Finding

Draw = Callable[[Any, Any], object]
"""Draws into a document and its model space."""


def write_dxf(
    path: Path, draw: Draw, version: str = "R2010", unit: int | None = 4, form: str = "asc"
) -> Path:
    """Write what ``draw`` draws; ``unit`` is $INSUNITS, ``form`` asc or bin."""
    document = ezdxf.new(version, setup=False)
    if unit is None:
        del document.header["$INSUNITS"]
    else:
        document.header["$INSUNITS"] = unit
    draw(document, document.modelspace())
    document.saveas(path, fmt=form)
    return path


def drawn(path: Path, draw: Draw, version: str = "R2010", unit: int | None = 4) -> Drawing:
    """Give what is read of what ``draw`` draws."""
    return told(path, draw, version, unit)[0]


def told(
    path: Path, draw: Draw, version: str = "R2010", unit: int | None = 4
) -> tuple[Drawing, tuple[Finding, ...]]:
    """Give what is read, and what is told of it."""
    return read_dxf(write_dxf(path / "drawing.dxf", draw, version, unit))


def box(curve: Curve) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Give the box of one curve, (4,) mm."""
    return np.array(bounds(curve.chain))
