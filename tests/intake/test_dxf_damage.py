"""Whatever state a DXF file is in, it is read or refused with one clear error."""

from __future__ import annotations

import random
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from cutpath.errors import CutpathError, InputError
from cutpath.intake.reading import read_drawing
from tests.intake.dxf_files import drawn, write_dxf

NAN, INF = float("nan"), float("inf")


def panel(document: Any, space: Any) -> None:
    for index in range(10):
        space.add_polyline2d([(0, 0), (index, 100), (300, 300)], close=True)
    document.blocks.new("PART").add_circle((0, 0), 3)
    space.add_blockref("PART", (5, 5), dxfattribs={"xscale": 2})


@pytest.mark.parametrize("bad", [NAN, INF, -INF, 1e160, 1e300])
@pytest.mark.parametrize("kind", ["line", "circle", "bulge", "spline", "fit", "point"])
def test_senseless_numbers_are_refused_with_their_entity(
    tmp_path: Path, kind: str, bad: float
) -> None:
    def draw(_: Any, space: Any) -> None:
        space.add_line((0, 0), (200, 0))
        layer = {"layer": "CUT"}
        if kind == "line":
            space.add_line((0, 0), (bad, 1), dxfattribs=layer)
        elif kind == "circle":
            space.add_circle((0, 0), bad, dxfattribs=layer)
        elif kind == "bulge":
            space.add_lwpolyline([(0, 0, bad), (9, 9, 0)], format="xyb", dxfattribs=layer)
        elif kind == "spline":
            space.add_open_spline([(0, 0), (1, bad), (2, 2), (3, 3)], dxfattribs=layer)
        elif kind == "fit":
            space.add_spline([(0, 0), (1, bad), (2, 2)], dxfattribs=layer)
        else:
            space.add_point((bad, 0), dxfattribs=layer)

    with pytest.raises(InputError, match=r"drawing\.dxf, layer CUT, [A-Z]+ [0-9A-F]+: "):
        drawn(tmp_path, draw)


@pytest.mark.parametrize("form", ["asc", "bin"])
@pytest.mark.parametrize("kept", [0, 1, 30, 100, 2000, 5000, -300, -40])
def test_a_file_that_breaks_off_is_refused(tmp_path: Path, form: str, kept: int) -> None:
    path = write_dxf(tmp_path / "cut-off.dxf", panel, form=form)
    path.write_bytes(path.read_bytes()[:kept])
    with pytest.raises(InputError, match=r"^cut-off\.dxf"):
        read_drawing(path)


@pytest.mark.parametrize(
    "data",
    [b"hello\n", bytes(range(256)) * 20, b"AC1032" + bytes(99), b"\x89PNG\r\n\x1a\n", bytes(999)],
)
def test_other_files_are_refused(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "other.dxf"
    path.write_bytes(data)
    with pytest.raises(InputError, match=r"^other\.dxf: this is (neither a DXF|a DWG)"):
        read_drawing(path)


@pytest.mark.parametrize("form", ["asc", "bin"])
@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_garbled_bytes_never_raise_anything_else(tmp_path: Path, version: str, form: str) -> None:
    path = write_dxf(tmp_path / "garbled.dxf", panel, version, form=form)
    whole = path.read_bytes()
    chance = random.Random(7)
    for _ in range(25):
        data = bytearray(whole)
        for _ in range(chance.choice([1, 5, 50, 500])):
            data[chance.randrange(len(data))] = chance.randrange(256)
        path.write_bytes(data)
        with suppress(CutpathError):
            read_drawing(path, "mm")


@pytest.mark.parametrize(("version", "unit"), [("R12", 4), ("R2010", 0), ("R2010", None)])
def test_a_drawing_without_a_unit_is_asked_for_it_with_its_size(
    tmp_path: Path, version: str, unit: int | None
) -> None:
    path = write_dxf(tmp_path / "unitless.dxf", lambda _, s: s.add_line((0, 0), (400, 10)), version)
    path = write_dxf(path, lambda _, space: space.add_line((0, 0), (400, 10)), version, unit)
    with pytest.raises(InputError, match=r"400 × 10 mm if they are mm, 10160 × 254 mm .* inches"):
        read_drawing(path)
    assert read_drawing(path, "cm")[0].curves[0].chain.last.tolist() == [4000, 100]


def test_a_decimal_comma_is_not_taken_for_an_end(tmp_path: Path) -> None:
    path = write_dxf(tmp_path / "comma.dxf", lambda _, space: space.add_line((0, 0), (402.5, 10)))
    path.write_bytes(path.read_bytes().replace(b"402.5", b"402,5"))
    with pytest.raises(InputError, match="decimal comma"):
        read_drawing(path)


def test_a_drawing_with_nothing_in_it_says_so(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no lines to cut"):
        drawn(tmp_path, lambda _, space: space.add_text("only words"))
