"""Pattern-exchange drawings: layers by number, half pieces unfolded.

Layer numbers: ASTM D6673-10's layer table, by a public summary; keywords from memory.
"""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.layouts import BlockLayout

from cutpath.errors import InputError
from cutpath.geometry.measure import bounds, length, signed_area
from cutpath.intake.dxf import read_dxf
from cutpath.model import Curve, Drawing, Sort


def style(unit: str = "METRIC") -> Document:
    document = ezdxf.new("R12")
    document.modelspace().add_text(f"UNITS: {unit}", dxfattribs={"layer": "1"})
    return document


def piece(document: Document, name: str = "A1") -> BlockLayout:
    block = document.blocks.new(name)
    document.modelspace().add_blockref(name, (0, 0))
    block.add_text(f"PIECE NAME: {name}", dxfattribs={"layer": "1"})
    return block


def outline(block: BlockLayout, points: list[tuple[float, ...]], *, close: bool = True) -> None:
    block.add_polyline2d(points, format="xyb"[: len(points[0])], close=close,
                         dxfattribs={"layer": "1"})  # fmt: skip


def on(layer: int) -> dict[str, str]:
    return {"layer": str(layer)}


def read(document: Document, folder: Path) -> Drawing:
    path = folder / "style.dxf"
    document.saveas(path)
    return read_dxf(path)[0]


def of_sort(drawing: Drawing, sort: Sort) -> list[Curve]:
    return [curve for curve in drawing.curves if curve.sort is sort]


SQUARE: list[tuple[float, ...]] = [(0, 0), (100, 0), (100, 100), (0, 100)]


def test_layers_are_told_by_number_and_texts_by_keyword(tmp_path: Path) -> None:
    document = style()
    block = piece(document, "YOKE")
    outline(block, SQUARE)
    block.add_line((50, 10), (50, 90), on(7))
    block.add_line((10, 50), (90, 50), on(8))
    block.add_circle((30, 30), 5, on(11))
    block.add_line((5, 5), (95, 5), on(14))
    block.add_line((5, 5), (95, 5), on(84))
    for layer in (2, 3, 4, 13, 80):
        block.add_point((layer, 0), on(layer))
    drawing = read(document, tmp_path)
    assert drawing.is_exchange
    assert drawing.unit == "mm"
    assert drawing.facts["UNITS"] == "METRIC"
    assert [curve.sort for curve in drawing.curves] == [
        Sort.OUTLINE, Sort.GRAIN, Sort.DRAWN, Sort.CUTOUT, Sort.SEW, Sort.NOTE,
    ]  # fmt: skip
    assert [spot.sort for spot in drawing.spots] == [
        Sort.TURN, Sort.CURVE, Sort.NOTCH, Sort.DRILL, Sort.NOTCH,
    ]  # fmt: skip
    assert {curve.group for curve in drawing.curves} == {"YOKE"}
    assert "PIECE NAME: YOKE" in [text.words for text in drawing.texts]


@pytest.mark.parametrize(
    ("unit", "factor"), [("METRIC", 1.0), ("ENGLISH", 25.4), ("english", 25.4)]
)
def test_the_units_text_decides(unit: str, factor: float, tmp_path: Path) -> None:
    document = style(unit)
    outline(piece(document), SQUARE)
    (curve,) = read(document, tmp_path).curves
    assert signed_area(curve.chain) == pytest.approx((100 * factor) ** 2)


def test_an_ordinary_drawing_with_a_layer_1_is_not_one(tmp_path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    document.blocks.new("bolt").add_circle((0, 0), 3, on(1))
    document.modelspace().add_blockref("bolt", (10, 10))
    assert not read(document, tmp_path).is_exchange


@pytest.mark.parametrize("inserted", [set[str](), {"A"}, {"A", "B"}])
def test_pieces_count_once_whether_inserted_or_not(inserted: set[str], tmp_path: Path) -> None:
    document = style()
    for name in "AB":
        outline(document.blocks.new(name), SQUARE)
        if name in inserted:
            document.modelspace().add_blockref(name.lower(), (500, 0))
    drawing = read(document, tmp_path)
    assert sorted(curve.group.upper() for curve in drawing.curves) == ["A", "B"]


# A quarter disc of radius 100 on the fold x = 0: whole, it is a half disc.
QUARTER: list[tuple[float, ...]] = [
    (0, 0, 0.0), (100, 0, math.tan(math.pi / 8)), (0, 100, 0.0),
]  # fmt: skip


@pytest.mark.parametrize("first", [0, 1, 2])
@pytest.mark.parametrize("backwards", [False, True])
def test_a_closed_half_is_unfolded_without_its_fold(
    first: int, backwards: bool, tmp_path: Path
) -> None:
    document = style()
    block = piece(document)
    rows = QUARTER[first:] + QUARTER[:first]
    if backwards:
        bends = [-row[2] for row in rows[::-1]]
        rows = [(x, y, b) for (x, y, _), b in zip(rows[::-1], bends[1:] + bends[:1], strict=True)]
    outline(block, rows)
    block.add_line((0, 0), (0, 100), on(6))
    drawing = read(document, tmp_path)
    (whole,) = drawing.curves
    assert whole.chain.closed
    assert abs(signed_area(whole.chain)) == pytest.approx(math.pi * 100**2 / 2)
    assert length(whole.chain) == pytest.approx(200 + math.pi * 100)
    np.testing.assert_allclose(bounds(whole.chain), (-100, 0, 100, 100), atol=1e-9)


def test_an_open_half_is_unfolded_and_ends_on_the_fold(tmp_path: Path) -> None:
    document = style()
    block = piece(document)
    outline(block, [(0.3, 0), (100, 0), (100, 60), (-0.2, 60)], close=False)
    block.add_line((0, -10), (0, 80), on(6))
    (whole,) = read(document, tmp_path).curves
    assert whole.chain.closed
    assert abs(signed_area(whole.chain)) == pytest.approx(200 * 60)
    assert bounds(whole.chain) == pytest.approx((-100, 0, 100, 60))
    right, left = whole.chain.points, whole.chain.points * (-1, 1)
    assert sorted(map(tuple, right.round(9) + 0.0)) == sorted(map(tuple, left.round(9) + 0.0))


def test_a_half_of_single_lines_is_doubled_without_the_fold(tmp_path: Path) -> None:
    document = style()
    block = piece(document)
    corners = [(0, 0), (100, 0), (100, 60), (0, 60)]
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        block.add_line(start, end, on(1))
    block.add_line((0, 0), (0, 60), on(6))
    drawing = read(document, tmp_path)
    assert len(drawing.curves) == 6
    assert sum(length(curve.chain) for curve in drawing.curves) == pytest.approx(2 * (200 + 60))


def test_what_lies_on_a_half_appears_on_both_sides_once(tmp_path: Path) -> None:
    document = style()
    block = piece(document)
    outline(block, SQUARE)
    block.add_line((0, 0), (0, 100), on(6))
    block.add_circle((50, 50), 5, on(11))  # whole, on one side
    block.add_line((0, 20), (0, 80), on(8))  # drawn along the fold
    block.add_line((20, 20), (20, 80), on(7))  # the grain
    block.add_point((40, 100), on(4))
    block.add_point((0, 100), on(4))  # a notch at the fold
    drawing = read(document, tmp_path)
    holes = of_sort(drawing, Sort.CUTOUT)
    assert sorted(bounds(hole.chain)[0] for hole in holes) == pytest.approx([-55, 45])
    assert len(of_sort(drawing, Sort.DRAWN)) == 1
    assert len(of_sort(drawing, Sort.GRAIN)) == 1
    assert sorted(spot.xy[0] for spot in drawing.spots) == pytest.approx([-40, 0, 40])


def test_a_cutout_over_the_fold_becomes_one_loop(tmp_path: Path) -> None:
    document = style()
    block = piece(document)
    outline(block, SQUARE)
    block.add_line((0, 0), (0, 100), on(6))
    block.add_polyline2d([(0, 40), (10, 40), (10, 60), (0, 60)], close=True, dxfattribs=on(11))
    (hole,) = of_sort(read(document, tmp_path), Sort.CUTOUT)
    assert abs(signed_area(hole.chain)) == pytest.approx(20 * 20)


def test_a_piece_drawn_whole_is_not_doubled(tmp_path: Path) -> None:
    document = style()
    block = piece(document)
    outline(block, SQUARE)
    block.add_line((50, 0), (50, 100), on(6))
    (whole,) = read(document, tmp_path).curves
    assert signed_area(whole.chain) == pytest.approx(100 * 100)


def test_only_the_piece_of_the_mirror_line_is_unfolded(tmp_path: Path) -> None:
    document = style()
    half, plain = piece(document, "half"), piece(document, "plain")
    outline(half, SQUARE)
    outline(plain, SQUARE)
    half.add_line((0, 0), (0, 100), on(6))
    areas = {c.group: abs(signed_area(c.chain)) for c in read(document, tmp_path).curves}
    assert areas == pytest.approx({"half": 20_000, "plain": 10_000})


def test_a_mirror_line_without_length_is_refused(tmp_path: Path) -> None:
    document = style()
    block = piece(document)
    outline(block, SQUARE)
    block.add_line((0, 0), (0, 0), on(6))
    with pytest.raises(InputError, match="mirror line has no length"):
        read(document, tmp_path)
