"""Either kind of drawing is told by its content, and whatever cannot be read is one clear error."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from cutpath.errors import InputError
from cutpath.intake.reading import read_drawing

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">'
    '<rect width="200" height="100"/></svg>'
)


@pytest.fixture
def dxf(tmp_path: Path) -> Path:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 4
    document.modelspace().add_lwpolyline([(0, 0), (400, 0), (400, 300)], close=True)
    path = tmp_path / "panel.dxf"
    document.saveas(path)
    return path


def test_content_counts_and_not_the_name(dxf: Path, tmp_path: Path) -> None:
    misnamed = dxf.rename(tmp_path / "dxf-inside.svg")
    assert read_drawing(misnamed)[0].unit == "mm"
    assert len(read_drawing(misnamed)[0].curves) == 1
    svg = tmp_path / "svg-inside.dxf"
    svg.write_text(SVG, encoding="utf-8")
    assert len(read_drawing(svg)[0].curves) == 1


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("before", ["", "<!-- drawn by hand -->\n", "\n  "])
def test_svg_is_known_by_its_first_words(tmp_path: Path, encoding: str, before: str) -> None:
    path = tmp_path / "panel"
    path.write_bytes((before + SVG).encode(encoding))
    assert len(read_drawing(path)[0].curves) == 1


def test_errors_name_the_file(tmp_path: Path, dxf: Path) -> None:
    with pytest.raises(InputError, match=r"^nowhere\.dxf: there is no such drawing"):
        read_drawing(tmp_path / "nowhere.dxf")
    with pytest.raises(InputError, match="a folder"):
        read_drawing(tmp_path)
    empty = tmp_path / "empty.dxf"
    empty.write_bytes(b" \r\n")
    with pytest.raises(InputError, match=r"^empty\.dxf: the file is empty"):
        read_drawing(empty)
    with pytest.raises(InputError, match=r"^panel\.dxf: unknown unit 'elbow'"):
        read_drawing(dxf, "elbow")


def test_the_size_is_asked_about(dxf: Path) -> None:
    assert read_drawing(dxf)[1] == ()
    (finding,) = read_drawing(dxf, "m")[1]
    assert "--units mm" in finding.remedy
