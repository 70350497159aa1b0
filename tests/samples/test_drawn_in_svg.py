"""The SVG samples are as large as their texts say, and the parts that meet agree.

Read by svgelements, a library for SVG of its own making, at the 96 px per inch of CSS.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

svgelements = pytest.importorskip("svgelements")

SAMPLES = Path(__file__).parents[2] / "samples"
MM = 25.4 / 96  # of one px: CSS Values and Units Level 3, absolute lengths


def on_layer(file: str, layer: str) -> list[Any]:
    """Give the shapes that say that they are on ``layer``, in order."""
    svg = svgelements.SVG.parse(SAMPLES / file, ppi=96)
    return paths_in(svg, lambda element: element.values.get("data-layer") == layer)


def grouped(file: str, group: str) -> list[Any]:
    """Give the shapes inside the group of this id, in order."""
    svg = svgelements.SVG.parse(SAMPLES / file, ppi=96)
    (found,) = svg.select(
        lambda e: isinstance(e, svgelements.Group) and e.values.get("id") == group
    )
    return paths_in(found, lambda _: True)


def paths_in(group: Any, wanted: Callable[[Any], bool]) -> list[Any]:
    shapes = group.select(lambda e: isinstance(e, svgelements.Shape) and wanted(e))
    paths = [svgelements.Path(shape) for shape in shapes]
    for path in paths:
        path.reify()
    return paths


def size(shape: Any) -> tuple[float, float]:
    left, top, right, bottom = shape.bbox()
    return (right - left) * MM, (bottom - top) * MM


def test_the_tool_roll_has_ten_pieces_of_the_sizes_it_says() -> None:
    found = Counter(
        tuple(round(side, 3) for side in size(shape))
        for shape in on_layer("tool-roll/tool-roll.svg", "outline")
    )
    assert found == {
        (640.0, 400.0): 2,
        (640.0, 200.0): 1,
        (640.0, 120.0): 1,
        (640.0, 150.0): 1,
        (620.0, 30.0): 2,
        (90.0, 140.0): 3,
    }


def test_the_tool_rolls_round_corners_are_round() -> None:
    """Two quarter circles of 60 mm replace corners: each saves 2·60 − 60·π/2 of the way round."""
    back = on_layer("tool-roll/tool-roll.svg", "outline")[0]
    around = 2 * (640 + 400) - 2 * (2 * 60 - 60 * math.pi / 2)
    assert back.length(error=1e-9) * MM == pytest.approx(around, abs=0.01)


def test_the_stalls_panels_have_the_sizes_they_say() -> None:
    wall, door = grouped("market-stall/side-wall.svg", "outline")
    assert size(wall) == pytest.approx((84 * 25.4, 64 * 25.4))
    assert size(door) == pytest.approx((24.5 * 25.4, 43.25 * 25.4))
    slope = 25.4 * math.hypot(84, 12)
    around = 25.4 * (52 + 64 + 12 + 46 + 26 + 2 * 44) + slope
    assert wall.length() * MM == pytest.approx(around)
    (pane,) = grouped("market-stall/side-wall.svg", "window")
    assert size(pane) == pytest.approx((28 * 25.4, 22 * 25.4))


def test_the_doors_marks_stand_level_with_those_of_the_opening() -> None:
    heights = {}
    for group in ("opening-marks", "door-marks"):
        ticks = [
            segment
            for shape in grouped("market-stall/side-wall.svg", group)
            for segment in shape
            if isinstance(segment, svgelements.Line)
        ]
        sides = [tick for tick in ticks if tick.start.y == pytest.approx(tick.end.y)]
        assert (len(ticks), len(sides)) == (7, 6)
        heights[group] = sorted((70 * 96 - tick.start.y) / 96 for tick in sides)
    assert heights["opening-marks"] == pytest.approx([12, 12, 24, 24, 36, 36])  # in above ground
    assert heights["door-marks"] == pytest.approx(heights["opening-marks"])
