"""Blocks: nested, stretched, mirrored, in rows, on hidden layers, in tilted or turned planes."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cutpath.errors import InputError
from cutpath.geometry.measure import length, signed_area
from cutpath.geometry.nearest import nearest
from tests.intake.dxf_files import box, drawn, told


def unit_square(document: Any, name: str = "PART", layer: str = "0") -> None:
    block = document.blocks.new(name, base_point=(1, 1))
    corners = [(1, 1), (2, 1), (2, 2), (1, 2)]
    block.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})


def test_rows_and_columns_turn_with_the_insert_and_keep_their_spacing(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        unit_square(document)
        rows = {"row_count": 2, "column_count": 3, "row_spacing": 50, "column_spacing": 20}
        scale = {"xscale": 10, "yscale": 10, "rotation": 90}
        space.add_blockref("PART", (100, 200), dxfattribs=rows | scale)

    curves = drawn(tmp_path, draw).curves
    corners = [tuple(box(curve)[:2].round(9)) for curve in curves]
    assert corners == [(x, y) for x in (90, 40) for y in (200, 220, 240)]
    assert {curve.group for curve in curves} == {"PART"}


def test_stretched_and_mirrored_circles_are_ellipses(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        document.blocks.new("RING").add_circle((10, 0), 100)
        scale = {"xscale": -2, "yscale": 0.5}
        space.add_blockref("RING", (0, 0), dxfattribs=scale)

    (curve,) = drawn(tmp_path, draw).curves
    assert abs(signed_area(curve.chain)) == pytest.approx(math.pi * 200 * 50, rel=1e-6)
    angles = np.linspace(0, math.tau, 181)
    on = np.column_stack([-20 + 200 * np.cos(angles), 50 * np.sin(angles)])
    assert nearest(curve.chain, on).distance.max() <= 1.05e-5


def test_nested_blocks_compose_and_the_outermost_names_the_group(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        unit_square(document)
        outer = document.blocks.new("OUTER")
        outer.add_blockref("PART", (10, 0), dxfattribs={"xscale": 3, "yscale": 3})
        space.add_blockref(
            "OUTER", (100, 0), dxfattribs={"rotation": 90, "xscale": 2, "yscale": -2}
        )

    (curve,) = drawn(tmp_path, draw).curves
    assert curve.group == "OUTER"
    # (10…13, 0…3) times (2, −2), turned by 90°: (x, y) → (−y, x), and shifted.
    np.testing.assert_allclose(box(curve), (100, 20, 106, 26), atol=1e-9)
    assert curve.chain.is_arc.any() is np.False_


def test_mirrored_arcs_stay_arcs_of_their_length(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        document.blocks.new("BOW").add_arc((0, 0), 100, 0, 120)
        space.add_blockref("BOW", (0, 0), dxfattribs={"xscale": -1})

    (curve,) = drawn(tmp_path, draw).curves
    assert curve.chain.is_arc.all()
    assert length(curve.chain) == pytest.approx(100 * math.radians(120), rel=1e-12)
    np.testing.assert_allclose(curve.chain.first, (-100, 0), atol=1e-9)
    middle = 100 * np.array([[-math.cos(math.pi / 3), math.sin(math.pi / 3)]])
    assert nearest(curve.chain, middle).distance[0] < 1e-9


def test_layer_0_in_a_block_takes_on_the_inserts_layer(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        unit_square(document)
        unit_square(document, "OWN", "PEN")
        for name in ("PART", "OWN"):
            space.add_blockref(name, (0, 0), dxfattribs={"layer": "CUT"})

    assert [c.source.layer for c in drawn(tmp_path, draw).curves] == ["CUT", "PEN"]


def test_freezing_hides_a_whole_block_and_off_only_what_lies_on_the_layer(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        unit_square(document)
        unit_square(document, "OWN", "PEN")
        document.layers.add("FROZEN").freeze()
        document.layers.add("OFF").off()
        for name in ("PART", "OWN"):
            space.add_blockref(name, (0, 0), dxfattribs={"layer": "FROZEN"})
            space.add_blockref(name, (9, 0), dxfattribs={"layer": "OFF"})

    drawing, findings = told(tmp_path, draw)
    assert [curve.source.layer for curve in drawing.curves] == ["PEN"]
    np.testing.assert_allclose(box(drawing.curves[0]), (9, 0, 10, 1))
    assert len(findings) == 2


def test_a_flat_z_scale_changes_nothing_seen_from_above(tmp_path: Path) -> None:
    def draw(document: Any, space: Any) -> None:
        unit_square(document)
        space.add_blockref("PART", (0, 0), dxfattribs={"zscale": 0})

    np.testing.assert_allclose(box(drawn(tmp_path, draw).curves[0]), (0, 0, 1, 1))


def test_a_tilted_plane_is_seen_from_above_and_told(tmp_path: Path) -> None:
    normal = (0.0, -math.sin(math.radians(60)), math.cos(math.radians(60)))

    def draw(_: Any, space: Any) -> None:
        space.add_circle((0, 0, 0), 100, dxfattribs={"extrusion": normal})

    drawing, (finding,) = told(tmp_path, draw)
    assert abs(signed_area(drawing.curves[0].chain)) == pytest.approx(math.pi * 5000, rel=1e-6)
    assert "tilted" in finding.message


@pytest.mark.parametrize("names", [("A",), ("A", "B"), ("A", "b", "C")])
def test_blocks_that_hold_themselves_are_refused(tmp_path: Path, names: tuple[str, ...]) -> None:
    def draw(document: Any, space: Any) -> None:
        for name, inner in zip(names, (*names[1:], names[0]), strict=True):
            document.blocks.new(name).add_blockref(inner.swapcase(), (0, 0))
        space.add_blockref("A", (0, 0))

    with pytest.raises(InputError, match="holds itself"):
        drawn(tmp_path, draw)


def test_blocks_that_multiply_beyond_measure_are_refused(tmp_path: Path) -> None:
    def array(document: Any, space: Any) -> None:
        unit_square(document)
        rows = {"row_count": 30000, "column_count": 30000}
        space.add_blockref("PART", (0, 0), dxfattribs=rows)

    with pytest.raises(InputError, match="multiply"):
        drawn(tmp_path, array)


def test_a_missing_block_is_told(tmp_path: Path) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_line((0, 0), (200, 0))
        space.add_blockref("NOWHERE", (0, 0))

    drawing, (finding,) = told(tmp_path, draw)
    assert len(drawing.curves) == 1
    assert "no block 'NOWHERE'" in finding.message
