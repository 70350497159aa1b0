"""Real drawings under open licences, DXF and SVG, with lengths measured independently.

They lie in the folder that CUTPATH_DRAWINGS names (``manifest.json`` beside ``dxf/`` and ``svg/``);
without it these tests skip. Where a value was settled by hand, it counts.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.measure import bounds, length
from cutpath.intake.dxf import read_dxf
from cutpath.intake.svg import read_svg
from cutpath.model import Drawing

FOLDER = Path(os.environ.get("CUTPATH_DRAWINGS", ""))


def real_drawings() -> list[dict[str, Any]]:
    manifest = FOLDER / "manifest.json"
    if "CUTPATH_DRAWINGS" not in os.environ or not manifest.is_file():
        return []
    files: list[dict[str, Any]] = json.loads(manifest.read_text(encoding="utf-8"))["files"]
    return files


def is_dxf(entry: dict[str, Any]) -> bool:
    return bool(entry["file"].startswith("dxf/"))


def read(entry: dict[str, Any]) -> Drawing:
    """Read in the units that the measured values count in: raw ones where the file says none."""
    path = FOLDER / entry["file"]
    if not is_dxf(entry):
        return read_svg(path)[0]
    truth = entry["truth"]
    says_unit = truth["insunits_present"] and truth["insunits"]
    return read_dxf(path, None if says_unit else "mm")[0]


@pytest.mark.skipif(not real_drawings(), reason="CUTPATH_DRAWINGS names no folder of drawings")
@pytest.mark.parametrize("entry", real_drawings(), ids=lambda entry: entry["file"])
def test_lengths_are_those_measured(entry: dict[str, Any]) -> None:
    expected = entry.get("adjudicated", entry)["length_mm"]
    if expected == 0:  # every curve of it is damaged
        with pytest.raises(InputError, match="nothing in the drawing can be read"):
            read(entry)
        return
    drawing = read(entry)
    total = sum(length(curve.chain) for curve in drawing.curves)
    assert total == pytest.approx(expected, rel=1e-4, abs=0.02)
    if is_dxf(entry):
        boxes = np.array([bounds(curve.chain) for curve in drawing.curves])
        box = [*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)]
        np.testing.assert_allclose(box, entry["bbox_mm"], atol=0.02)


@pytest.mark.skipif(not real_drawings(), reason="CUTPATH_DRAWINGS names no folder of drawings")
@pytest.mark.parametrize(
    "entry", [one for one in real_drawings() if is_dxf(one)], ids=lambda entry: entry["file"]
)
def test_a_dxf_drawing_without_units_is_asked_for_them(entry: dict[str, Any]) -> None:
    if entry["truth"]["insunits_present"] and entry["truth"]["insunits"]:
        assert read(entry).unit
    else:
        with pytest.raises(InputError, match="does not say its unit"):
            read_dxf(FOLDER / entry["file"])
