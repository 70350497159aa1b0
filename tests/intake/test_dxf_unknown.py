"""Entities that no library knows, and drawings without the space that panels are drawn in."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from cutpath.errors import InputError
from cutpath.intake.dxf import read_dxf


def tags(*pairs: tuple[int, str]) -> str:
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


STRANGER = tags((0, "STRANGER"), (5, "FFF0"), (100, "AcDbEntity"), (8, "1"))


@pytest.mark.parametrize("where", ["ENTITIES", "BLOCKS"])
def test_an_unknown_entity_is_counted_and_said(where: str, tmp_path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    block = document.blocks.new("frame")
    block.add_line((0, 0), (100, 0), {"layer": "HERE" if where == "BLOCKS" else "0"})
    document.modelspace().add_blockref("frame", (0, 0))
    document.modelspace().add_line(
        (0, 0), (0, 100), {"layer": "HERE" if where != "BLOCKS" else "0"}
    )
    path = tmp_path / "strange.dxf"
    document.saveas(path)
    text = path.read_text(encoding="utf-8")
    at = text.index("HERE", text.index(f"  2\n{where}\n"))
    begin = text.rindex("  0\nLINE\n", 0, at)
    path.write_text(text[:begin] + STRANGER + text[begin:], encoding="utf-8")
    drawing, findings = read_dxf(path)
    assert len(drawing.curves) == 2
    assert "not read: 1 STRANGER" in [finding.message for finding in findings]


def test_a_drawing_without_model_space_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "spaceless.dxf"
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_line((0, 0), (100, 0))
    document.saveas(path)
    text = path.read_text(encoding="utf-8")
    assert "\nModel\n" in text
    path.write_text(text.replace("\nModel\n", "\nMudel\n"), encoding="utf-8")
    with pytest.raises(InputError, match="no model space"):
        read_dxf(path)
