"""Real SVG drawings under open licences, with lengths and boxes measured by two other readers.

They lie in the folder that CUTPATH_DRAWINGS names (``manifest.json`` beside ``svg/``); without it
these tests skip. Where the two readers disagree, the value that was settled by hand counts.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cutpath.geometry.measure import bounds, length
from cutpath.intake.svg import read_svg

FOLDER = Path(os.environ.get("CUTPATH_DRAWINGS", ""))


def real_drawings() -> list[dict[str, Any]]:
    manifest = FOLDER / "manifest.json"
    if "CUTPATH_DRAWINGS" not in os.environ or not manifest.is_file():
        return []
    files: list[dict[str, Any]] = json.loads(manifest.read_text(encoding="utf-8"))["files"]
    return [entry for entry in files if entry["file"].startswith("svg/")]


@pytest.mark.skipif(not real_drawings(), reason="CUTPATH_DRAWINGS names no folder of drawings")
@pytest.mark.parametrize("entry", real_drawings(), ids=lambda entry: entry["file"])
def test_lengths_and_boxes_are_those_measured(entry: dict[str, Any]) -> None:
    drawing, _ = read_svg(FOLDER / entry["file"])
    second = entry["truth"].get("second_reference", entry)
    expected = entry.get("adjudicated", second)["length_mm"]
    assert sum(length(curve.chain) for curve in drawing.curves) == pytest.approx(expected, rel=1e-4)
    boxes = np.array([bounds(curve.chain) for curve in drawing.curves])
    (left, low), (right, high) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    page = entry["truth"]["viewport_mm"][1]  # the manifest's y runs down
    box = (left, page - high, right, page - low)
    np.testing.assert_allclose(box, second["bbox_mm"], atol=0.01)
